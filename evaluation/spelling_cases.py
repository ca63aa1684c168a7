"""How many letters are those that a teacher would write, in far keys and for borrowed chords.

    python evaluation/spelling_cases.py [--misses]

Truth: teacher_spelling.txt beside this script (common practice, no source). A grip alone is read
as ``name --key`` reads it, bare grips among changes as ``explain`` does. A grip is right when every
letter is.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from gripwright.harmony.changes import named, read_changes
from gripwright.harmony.reading import readings
from gripwright.neck.grip import parse_grip
from gripwright.theory.pitch import parse_note
from gripwright.theory.scale import Key, parse_key

TABLE = Path(__file__).with_name("teacher_spelling.txt")
STRICT = " strict"


class Case(NamedTuple):
    """Bare grips, alone or in changes, and the letters accepted for each."""

    key: Key | None
    strict: bool
    changes: str
    letters: tuple[tuple[str, ...], ...]


def cases() -> Iterator[Case]:
    """Yield the rows of the table."""
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            where, changes, letters = (part.strip() for part in line.split("|"))
            name = where.removesuffix(STRICT)
            yield Case(
                None if name == "auto" else parse_key(name), where.endswith(STRICT), changes,
                tuple(
                    tuple(" ".join(choice.split()) for choice in one.split(" or "))
                    for one in letters.split(";")
                ),
            )  # fmt: skip


def ours(case: Case) -> list[str]:
    """Return our letters of each bare grip."""
    if " " not in case.changes:
        best = readings(parse_grip(case.changes), key=case.key, strict=case.strict)[0]
        return [" ".join(tone.note.name for tone in best.tones)]
    written = read_changes(case.changes)
    told = named(written, key=case.key)
    return [
        " ".join(pitch.note.name for pitch in one.notes)
        for one, before in zip(told, written, strict=True)
        if before.symbol is None
    ]


def agree(case: Case, found: list[str]) -> bool:
    """Return whether the table and the grips speak of the same notes."""
    return [_pcs(one) for one in found] == [_pcs(choices[0]) for choices in case.letters]


def _pcs(letters: str) -> list[int]:
    return [parse_note(letter).pc for letter in letters.split()]


def main() -> None:
    """Print the score; with --misses every grip with another letter."""
    count = right = 0
    for case in cases():
        found = ours(case)
        assert agree(case, found), f"{case.changes}: other notes than the table has"
        for one, choices in zip(found, case.letters, strict=True):
            count, right = count + 1, right + (one in choices)
            if "--misses" in sys.argv and one not in choices:
                key = case.key.name if case.key else "auto"
                print(f"{key}, {case.changes}: {one}; a teacher: {' or '.join(choices)}")
    print(f"{right} of {count} grips as a teacher would write them ({right / count:.1%})")


if __name__ == "__main__":
    main()
