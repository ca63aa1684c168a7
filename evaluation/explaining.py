"""How often the answers to changes are those that a theory teacher would give.

    OMP_NUM_THREADS=1 python evaluation/explaining.py [--misses] [--more]

Truth: critic_changes.txt beside this script, or critic_changes_more.txt (common practice, no
source); the first says what a line of it asks. Each thing asked is one count; *block* is a
progression of which everything is right. In the second column the keys are stated, so that a key
found otherwise does not count against the rest. There is no peer: we know of no library that gives
remarks.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from gripwright.harmony.changes import read_changes
from gripwright.harmony.explain import Explanation, explain_changes
from gripwright.harmony.key import Stated
from gripwright.theory.scale import Key, parse_key

TABLE = Path(__file__).with_name("critic_changes.txt")
MORE = Path(__file__).with_name("critic_changes_more.txt")
LETTERS = {"tonic": "t", "subdominant": "s", "dominant": "d", "applied dominant": "a", None: "n"}
SLACK = 1  # chords by which a key may begin early or late
ASKED = ("key", "numerals", "functions", "must", "never", "scales", "unfit", "thread")
Starts = tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Block:
    """A progression, the keys accepted, and the lines of what is asked."""

    title: str
    changes: str
    keys: tuple[Starts, ...]
    asked: dict[str, str]


def blocks(path: Path = TABLE) -> Iterator[Block]:
    """Yield the progressions of the table."""
    text = path.read_text(encoding="utf-8")
    for part in text.split("\n[")[1:]:
        title, changes, *lines = (line for line in part.splitlines() if line.strip())
        asked = dict(line.split(" ", 1) for line in lines)
        yield Block(title.rstrip("]"), changes, _keys(asked.pop("key")), asked)


def _keys(text: str) -> tuple[Starts, ...]:
    if text == "?":
        return ()
    return tuple(tuple(map(_start, one.split(", "))) for one in text.split(" or "))


def _start(text: str) -> tuple[str, int]:
    *name, last = text.split()
    return (" ".join(name), int(last)) if last.isdigit() else (text, 0)


def misses(block: Block, told: Explanation) -> Iterator[tuple[str, str]]:
    """Yield each thing asked, with what is wrong of it, empty where it is right."""
    if block.keys:
        found = tuple((region.key.name, region.start) for region in told.keys.regions)
        right = any(_meets(found, starts) for starts in block.keys)
        yield "key", "" if right else f"{found}, not {block.keys}"
    for kind, line in block.asked.items():
        yield from ((kind, wrong) for wrong in JUDGES[kind](line, told))


def _meets(found: Starts, wanted: Starts) -> bool:
    return [key for key, _ in found] == [key for key, _ in wanted] and all(
        abs(one - two) <= SLACK for (_, one), (_, two) in zip(found, wanted, strict=True)
    )


def _numerals(line: str, told: Explanation) -> Iterator[str]:
    for index, (wanted, chord) in enumerate(zip(line.split(), told.chords, strict=True)):
        if wanted != ".":
            fits = chord.numeral in wanted.split("|")
            yield "" if fits else f"chord {index}: {chord.numeral}, not {wanted}"


def _functions(line: str, told: Explanation) -> Iterator[str]:
    for index, (wanted, chord) in enumerate(zip(line.split(), told.chords, strict=True)):
        if wanted != ".":
            fits = LETTERS[chord.function] in wanted.split("|")
            yield "" if fits else f"chord {index}: {chord.function}, not {wanted}"


def _kinds(place: str, told: Explanation) -> list[str]:
    chords = told.chords if place == "*" else (told.chords[int(place)],)
    return [remark.kind for chord in chords for remark in chord.remarks]


def _is(kind: str, pattern: str) -> bool:
    return kind.startswith(pattern[:-1]) if pattern.endswith("*") else kind == pattern


def _must(line: str, told: Explanation) -> Iterator[str]:
    for place, pattern in (one.split(" ", 1) for one in line.split("; ")):
        given = _kinds(place, told)
        fits = any(_is(kind, one) for kind in given for one in pattern.split("|"))
        yield "" if fits else f"{place}: {given}, no {pattern}"


def _never(line: str, told: Explanation) -> Iterator[str]:
    for place, pattern in (one.split() for one in line.split("; ")):
        bad = [kind for kind in _kinds(place, told) if _is(kind, pattern)]
        yield f"{place}: {bad}" if bad else ""


def _scales(line: str, told: Explanation) -> Iterator[str]:
    for place, names in (one.split(" ", 1) for one in line.split("; ")):
        given = told.chords[int(place)].scales
        fits = any(name in given for name in names.split("|"))
        yield "" if fits else f"chord {place}: {given}, no {names}"


def _unfit(line: str, told: Explanation) -> Iterator[str]:
    for place, name in (one.split(" ", 1) for one in line.split("; ")):
        yield f"chord {place}: {name}" if name in told.chords[int(place)].scales else ""


def _thread(line: str, told: Explanation) -> Iterator[str]:
    for place, voice in (one.split(" ", 1) for one in line.split("; ")):
        given = [
            f"{t.here[0].name} {t.here[1].text} > {t.there[0].name} {t.there[1].text}"
            for start, _, t in told.threads
            if start == int(place)
        ]
        yield "" if voice in given else f"{place}: {given}, no {voice}"


JUDGES = {
    "numerals": _numerals, "functions": _functions, "must": _must, "never": _never,
    "scales": _scales, "unfit": _unfit, "thread": _thread,
}  # fmt: skip


def stated(block: Block, count: int) -> Stated:
    """Return the first of the accepted keys, one a chord."""
    if not block.keys:
        return None
    keys: list[Key] = []
    for name, start in block.keys[0]:
        keys[start:] = [parse_key(name)] * (count - start)
    return keys


def main() -> None:
    """Print the table; with --misses everything that is wrong."""
    tally: Counter[tuple[str, str, str]] = Counter()
    table = list(blocks(MORE if "--more" in sys.argv else TABLE))
    for block in table:
        changes = read_changes(block.changes)
        for column, keys in (("found", None), ("stated", stated(block, len(changes)))):
            given = list(misses(block, explain_changes(changes, keys)))
            for kind, wrong in (*given, ("block", "".join(wrong for _, wrong in given))):
                tally[column, kind, "asked"] += 1
                tally[column, kind, "right"] += not wrong
            if "--misses" in sys.argv:
                for kind, wrong in given:
                    if wrong:
                        print(f"{block.title} ({column}) {kind}: {wrong}")
    print(f"{len(table)} progressions{'asked':>10}{'keys found':>14}{'keys stated':>14}")
    for kind in (*ASKED, "block"):
        shares = [tally[c, kind, "right"] / tally[c, kind, "asked"] for c in ("found", "stated")]
        print(f"{kind:16}{tally['found', kind, 'asked']:>10}{shares[0]:>14.1%}{shares[1]:>14.1%}")


if __name__ == "__main__":
    main()
