"""How a grip sounds, apart from how hard it is: 1 is clear and full, 0 a blur.

What counts against it, all common practice: close intervals too low (the low interval limits
that arrangers are taught, from memory), a second right above the bass, holes of more than an
octave above it, guide tones of a seventh chord doubled, a minor ninth inside, few strings, a
high bass, and notes of the symbol that are left out. Four or five strings with four different
notes are less thin than as many that double a triad.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from gripwright.theory.symbol import ChordSymbol

# The lowest MIDI note under which an interval (in semitones) starts to blur.
LOWEST_CLEAR = {1: 52, 2: 51, 3: 48, 4: 46, 5: 46, 6: 47, 7: 34, 8: 43, 9: 41, 10: 41, 11: 41}
MUD, HOLE, DOUBLED_GUIDE, DOUBLED_COLOUR, MINOR_NINTH, MISSING = 0.03, 0.10, 0.04, 0.12, 0.25, 0.12
UNISON, HALF_STEP, SECOND_BELOW = 0.15, 0.12, 0.15
# By the number of strings that sound; six and more are full.
THIN = (2.0, 2.0, 1.2, 0.65, 0.30, 0.15)
COMPLETE, COMPLETE_SHARE = 4, 0.7  # so many different notes, and what is left of being thin
# The bass is wanted below this MIDI note; each semitone above it counts a little.
LOW_BASS, HIGH_BASS = 45, 0.035


@dataclass(frozen=True, slots=True)
class _Colour:
    """What matters of a symbol here, as semitones above its root."""

    root: int
    guides: tuple[int, ...]
    colours: tuple[int, ...]
    wished: tuple[int, ...]


@lru_cache(maxsize=1024)
def _colour(symbol: ChordSymbol) -> _Colour:
    degrees = symbol.degrees
    guides = [d.pc for d in degrees if d.number in (3, 7)] if len(degrees) > 3 else []
    colours = [d.pc for d in degrees if d.number not in (1, 3, 5, 7)]
    wished = [d.pc for d in degrees if d.number != 5]
    return _Colour(symbol.root.pc, tuple(guides), tuple(colours), tuple(wished))


def sound_raw(midis: Sequence[int], symbol: ChordSymbol | None = None) -> float:
    """Return what counts against the sound of some pitches under a symbol, 0 for nothing.

    >>> sound_raw([33, 37, 40]) > sound_raw([45, 49, 52])
    True
    """
    low_first = sorted(midis)
    total = _thin(low_first)
    total += SECOND_BELOW * (len(low_first) > 1 and 0 < low_first[1] - low_first[0] <= 2)
    total += HIGH_BASS * max(0, low_first[0] - LOW_BASS) if low_first else 0.0
    for place, (below, above) in enumerate(pairwise(low_first)):
        size = above - below
        total += MUD * max(0, LOWEST_CLEAR.get(size, 0) - below)
        total += HOLE * (place > 0 and size > 12) + UNISON * (size == 0) + HALF_STEP * (size == 1)
    return total if symbol is None else total + _under(low_first, _colour(symbol))


def _thin(midis: list[int]) -> float:
    strings = len(midis)
    if strings >= len(THIN):
        return 0.0
    complete = strings >= COMPLETE and len({midi % 12 for midi in midis}) >= COMPLETE
    return THIN[strings] * (COMPLETE_SHARE if complete else 1.0)


def _under(low_first: list[int], colour: _Colour) -> float:
    classes = [(midi - colour.root) % 12 for midi in low_first]
    total = DOUBLED_GUIDE * sum(max(0, classes.count(pc) - 1) for pc in colour.guides)
    total += DOUBLED_COLOUR * sum(max(0, classes.count(pc) - 1) for pc in colour.colours)
    total += MISSING * sum(pc not in classes for pc in colour.wished)
    ninths = {midi + 13 for midi in low_first} & {
        midi for midi, pc in zip(low_first, classes, strict=True) if pc != 1
    }
    return total + MINOR_NINTH * bool(ninths)


def sound_share(raw: float) -> float:
    """Return the sound from 0 to 1, ``exp(-raw)``."""
    return math.exp(-raw)
