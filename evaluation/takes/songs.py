"""Songs made up from an independent table of grips, as lesson values.

The table is written from common teaching practice (no source) and knows nothing of the
product's hand model or of its naming. Half of the grips are for development, half for test.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from gripwright.beats import Metre, parse_metre
from gripwright.lesson.model import Bar, Chord, ChordEvent, Lesson, Part
from gripwright.neck.grip import Grip, parse_grip

_OPEN = """
x32010 x02210 xx0232 022100 320003 x02220 xx0231 022000 x24432 133211 x02010 x02020 xx0212
x21202 020000 022130 320001 x32310 xx0211 x32000 xx0222 xx3210 320002 x02120 133111 x13331
x24442 xx0233 xx0230 x02200 x02230 022200 3x0033 x30010 x32030 xx0102 x00210 2x0232 x20033
"""
# shapes with their lowest fret at 1; moved up 1 to 9 frets
_MOVED = """
133211 133111 131211 131111 133333 x13331 x13321 x13121 x13231 x13141 x13131 x13333 1x2211
1x122x 1x111x 1x1110 1x3211 x1x231 x12122 x1211x x3231x x32433 x3243x x1312x x1313x x1322x
xx1321 xx1322 xx3211 xx1333 xx1212 xx1312 x212xx 1x11xx 1x12xx 1x22xx x1312x x13211 x54232
x1223x xx1323 xx2143 xx1113 xx1343 2x234x 2x223x x3234x x35453 1x1213 1x1322 2x212x x2123x
"""


def grip_table(half: str) -> tuple[Grip, ...]:
    """Return the grips for ``dev`` or ``test``: disjoint, every second row of the table."""
    rows = [parse_grip(text) for text in _OPEN.split()]
    for index, text in enumerate(_MOVED.split()):
        shape = parse_grip(text)
        for fret in range(1 + index % 2, 10, 2):
            rows.append(Grip(tuple(None if f is None else f + fret for f in shape.frets)))
    wanted = 0 if half == "dev" else 1
    return tuple(dict.fromkeys(rows[wanted::2]))


@dataclass(frozen=True)
class Song:
    """A lesson value with what the lesson does not say: how the right hand plays it."""

    lesson: Lesson
    style: str


STYLES = ("strum", "eighths", "pluck", "block")


def make_song(
    rng: np.random.Generator,
    half: str,
    parts: int = 3,
    bars: int = 4,
    metre_text: str | None = None,
) -> Song:
    """Return a song of that many parts, each of so many bars, with its order of parts.

    Its metre is 4/4 or 3/4 where none is given.
    """
    table = grip_table(half)
    metre = parse_metre("3/4") if rng.random() < 0.2 else Metre()
    metre = parse_metre(metre_text) if metre_text else metre
    names = ("verse", "bridge", "ending", "middle")[:parts]
    made = tuple(Part(name, tuple(_bar(rng, table, metre) for _ in range(bars))) for name in names)
    order = tuple(names[i] for i in rng.permutation(parts))
    order = (*order, *(order[:1] if parts > 1 else ()))
    tempo = Fraction(int(rng.integers(66, 146)))
    if metre.beats[0] > 1:
        tempo *= Fraction(4, 5) / metre.beats[0]  # dotted beats are slower, 35 to 77
    lesson = Lesson("A made-up song", tempo, metre, parts=made, order=order)
    return Song(lesson, str(rng.choice(STYLES)))


def _bar(rng: np.random.Generator, table: tuple[Grip, ...], metre: Metre) -> Bar:
    beats, beat = len(metre.beats), metre.beats[0]
    split = beats if rng.random() < 0.6 else (2 if beats == 4 else 1)
    events, at = [], 0
    while at < beats:
        length = min(split, beats - at) if at == 0 else beats - at
        grip = table[int(rng.integers(len(table)))]
        events.append(ChordEvent(at * beat, length * beat, Chord(grip.text, grip=grip)))
        at += length
    return Bar(metre, metre.length, tuple(events))
