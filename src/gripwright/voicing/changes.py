"""Changes typed on one line: ``Dm7 G7 | Cmaj7``, with grips where they are fixed.

``|`` parts bars, which share their time evenly between their chords. A chord is a symbol, a
grip (fixed), or both as ``x35453=Cmaj7``. ``/`` strikes the chord before it once more;
``rest`` or ``N.C.`` gives its time to the change that follows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from gripwright.errors import InputError, SymbolError
from gripwright.neck.grip import parse_grip
from gripwright.theory.symbol import parse_symbol
from gripwright.voicing.arrange import Asked
from gripwright.voicing.limits import Edge

_GRIP = re.compile(r"[xX0-9][xX0-9-]*")
_NO_CHORD = ("rest", "N.C.", "NC", "_")
MOST_CHORDS = 2000


def parse_changes(text: str, strings: int = 6, bar_s: float = 2.0) -> tuple[Asked, ...]:
    """Read changes for a tuning of so many strings; a bar lasts ``bar_s`` seconds.

    Raises InputError, SymbolError or GripError naming the chord.

    >>> [one.length_s for one in parse_changes("Dm7 G7 | Cmaj7", bar_s=4.0)]
    [2.0, 2.0, 4.0]
    """
    bars = [bar.split() for bar in text.split("|")]
    asked: list[Asked] = []
    for bar in filter(None, bars):
        for word in bar:
            length = bar_s / len(bar)
            if word in _NO_CHORD and not asked:
                continue
            if word in ("/", *_NO_CHORD) and asked:
                asked[-1] = replace(asked[-1], length_s=asked[-1].length_s + length)
            else:
                asked.append(replace(_chord(word, strings, len(asked)), length_s=length))
    if not asked:
        raise InputError(
            "there are no chords in these changes", field="changes",
            remedy='write symbols and bars, such as "Dm7 G7 | Cmaj7"',
        )  # fmt: skip
    if len(asked) > MOST_CHORDS:
        raise InputError(
            f"there are {len(asked)} chords, at most {MOST_CHORDS} can be arranged at once",
            field="changes", remedy="arrange the parts of the song one by one",
        )  # fmt: skip
    return tuple(asked)


def _chord(word: str, strings: int, index: int) -> Asked:
    grip, symbol = None, None
    for part in _parts(word):
        if _GRIP.fullmatch(part):
            grip = parse_grip(part, strings)
            continue
        try:
            symbol = parse_symbol(part)
        except SymbolError as error:
            raise SymbolError(
                f"chord {index + 1}: {error.message}", field="changes", at=index,
                remedy=error.remedy,
            ) from error  # fmt: skip
    return Asked(symbol, grip)


def _parts(word: str) -> Iterator[str]:
    yield from (part for part in word.split("=") if part)


def with_tops(asked: Sequence[Asked], tops: Sequence[Edge | None]) -> tuple[Asked, ...]:
    """Return changes with their top notes fixed, None for any; raises InputError."""
    if len(tops) != len(asked):
        raise InputError(
            f"there are {len(tops)} top notes for {len(asked)} chords", field="tops",
            remedy="give one for each chord, - where any will do",
        )  # fmt: skip
    return tuple(replace(one, top=top) for one, top in zip(asked, tops, strict=True))
