"""Levels 1 to 5: what a student of each may be asked to hold.

A level is a set of techniques, not a cut of the effort (common practice, no source): first
fingers on their tips within three frets of the nut or capo; then a finger laid over two or
three strings and a string kept silent between others; then full barres and grips up the neck;
then wide stretches; the fifth is everything.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from gripwright.neck.effort import Effort, Rig
from gripwright.neck.fingering import Way, openness, ways, weigh
from gripwright.neck.shapes import Hold, Shape


@dataclass(frozen=True, slots=True)
class Level:
    """What a level allows.

    ``barre_strings`` under one finger; ``fingers`` where no open string rings; the lowest and
    the highest pressed fret, counted from the capo; ``openness`` of the widest two fingers, 1
    at their limit; how many silent strings between sounding ones, for a player who strums.
    """

    barre_strings: int
    fingers: int
    base: int
    top: int
    openness: float
    inner_mutes: int


LEVELS: dict[int, Level] = {
    1: Level(1, 3, 3, 3, 0.75, 0),
    2: Level(3, 3, 5, 5, 0.75, 1),
    3: Level(8, 4, 10, 13, 0.75, 2),
    4: Level(8, 4, 12, 24, 1.0, 6),
    5: Level(8, 5, 24, 24, math.inf, 6),
}
# Up to this level one barre at most, with these fingers, and no two fingers at one fret so
# many strings apart that reach round a higher one.
SIMPLE, BARRE_FINGERS, ROUND = 2, (1, 3), 3


def fits_level(shape: Shape, way: Way, base: int, rig: Rig, level: int) -> bool:
    """Tell whether a student of a level may be asked for a way to hold a shape at fret ``base``.

    >>> from gripwright.neck.effort import Player
    >>> rig, f = Player().rig, (1, 3, 3, 2, 1, 1)
    >>> [n for n in LEVELS if any(fits_level(f, way, 1, rig, n) for way in ways(f, rig.style))]
    [3, 4, 5]
    """
    fits = _shape_fits(shape, base - rig.stop, rig.style.plucks, level)
    return fits and _way_fits(way, base, rig, level)


def _shape_fits(shape: Shape, base: int, plucks: bool, level: int) -> bool:
    row = LEVELS[level]
    top = base - 1 + max((fret for fret in shape if fret), default=1)
    return (
        base <= row.base and top <= row.top and (plucks or _inner_mutes(shape) <= row.inner_mutes)
    )


def _inner_mutes(shape: Shape) -> int:
    sounding = [index for index, fret in enumerate(shape) if fret is not None]
    return sounding[-1] - sounding[0] + 1 - len(sounding) if sounding else 0


def _way_fits(way: Way, base: int, rig: Rig, level: int) -> bool:
    row = LEVELS[level]
    if any(hold.high - hold.low >= row.barre_strings for hold in way.holds):
        return False
    if len(way.holds) > row.fingers and not way.opens:
        return False
    if openness(way.holds, base, rig.style) > row.openness:
        return False
    return level > SIMPLE or _is_simple(way)


def _is_simple(way: Way) -> bool:
    """Tell whether there is one small barre at most and no finger reaches round another."""
    barres = [hold.finger for hold in way.holds if hold.is_barre]
    if len(barres) > 1 or not set(barres) <= set(BARRE_FINGERS):
        return False
    return not any(
        one.fret == other.fret and _round(one, other, higher)
        for one, other in combinations(way.holds, 2)
        for higher in way.holds
    )


def _round(one: Hold, other: Hold, higher: Hold) -> bool:
    low, high = sorted((one, other), key=lambda hold: hold.low)
    between = low.high < higher.low and higher.high < high.low
    return between and higher.fret > one.fret and high.low - low.high >= ROUND


@lru_cache(maxsize=65536)
def best_way_at(shape: Shape, base: int, rig: Rig, level: int) -> tuple[Way, Effort] | None:
    """Return the easiest way to hold a shape that a level allows, None where there is none."""
    if not _shape_fits(shape, base - rig.stop, rig.style.plucks, level):
        return None
    return min(_allowed(shape, base, rig, level), key=lambda one: one[1].raw, default=None)


def _allowed(shape: Shape, base: int, rig: Rig, level: int) -> Iterator[tuple[Way, Effort]]:
    for way in ways(shape, rig.style):
        if _way_fits(way, base, rig, level):
            yield way, weigh(way, base, rig)
