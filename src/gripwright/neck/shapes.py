"""Every legal way to share the pressed strings of a shape among the fingers.

A shape is a grip seen from its lowest pressed fret: one entry a string, bass side first, None
where the string is not played, 0 where it is open, 1 for the lowest pressed fret (or barre)
and so on up. The rules, all of them (common practice, no source):

1. Each pressed string is held by one finger; a finger holds one fret.
2. A finger never stands at a lower fret than a finger with a smaller number. At one fret the
   fingers may stand in any order, but their strings do not interleave.
3. A finger that holds two or more strings is laid across as a barre, over every string from
   its lowest to its highest. Those strings are pressed at its fret, or higher by another
   finger, or are not played; none of them rings open or at a lower fret. Finger 1 may cover
   any number of strings, fingers 2 and 3 four, finger 4 three.
4. The thumb may reach over the top for the outermost bass-side string, at most one fret away
   from the lowest fret that the fingers hold, and only together with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, permutations, repeat

Shape = tuple[int | None, ...]
THUMB = 0
BARRE_STRINGS = {1: 8, 2: 4, 3: 4, 4: 3}


@dataclass(frozen=True, slots=True)
class Hold:
    """One finger (0 is the thumb) at one fret, over the strings ``strings`` by index.

    A barre covers every string from ``low`` to ``high``, sounding or not. Made by `hold`.
    """

    finger: int
    fret: int
    strings: tuple[int, ...]
    low: int
    high: int
    is_barre: bool
    middle: float


@lru_cache(maxsize=65536)
def hold(finger: int, fret: int, strings: tuple[int, ...]) -> Hold:
    """Return a finger at a fret over the strings of these indexes, bass side first."""
    low, high = strings[0], strings[-1]
    return Hold(finger, fret, strings, low, high, len(strings) > 1, (low + high) / 2)


Holds = tuple[Hold, ...]


@lru_cache(maxsize=1024)
def holdings(shape: Shape, thumb: bool = False) -> tuple[Holds, ...]:
    """Return every legal set of holds, empty where no hand can take the shape.

    >>> [[h.finger for h in holds] for holds in holdings((None, 0, 2, None, None, None))]
    [[1], [2], [3], [4]]
    """
    rows = _rows(shape)
    ways = _share(shape, rows, 1)
    if thumb and shape[0] and len(rows) + len(rows[0][1]) > 2:
        ways += _with_thumb(shape)
    return tuple(ways)


def _rows(shape: Shape) -> list[tuple[int, list[int]]]:
    """Return the pressed frets from the lowest up, each with its strings."""
    frets = sorted({fret for fret in shape if fret})
    return [(fret, [i for i, f in enumerate(shape) if f == fret]) for fret in frets]


def _share(shape: Shape, rows: list[tuple[int, list[int]]], first: int) -> list[Holds]:
    """Return the ways to hold the rows with the fingers from ``first`` up."""
    if not rows:
        return [()]
    fret, strings = rows[0]
    room = 4 - (len(rows) - 1)
    rests = [_share(shape, rows[1:], next_) for next_ in range(first + 1, room + 2)]
    found: list[Holds] = []
    for runs in _runs(shape, fret, strings):
        for fingers in combinations(range(first, room + 1), len(runs)):
            rest = rests[fingers[-1] - first]
            for order in permutations(fingers) if rest else ():
                holds = tuple(map(hold, order, repeat(fret), runs))
                if all(one.high - one.low < BARRE_STRINGS[one.finger] for one in holds):
                    found += [holds + others for others in rest]
    return found


def _runs(shape: Shape, fret: int, strings: list[int]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Yield the ways to cut the strings of one fret into neighbours that one finger can take."""
    if not strings:
        yield ()
        return
    for size in range(1, len(strings) + 1):
        run = tuple(strings[:size])
        if _blocked(shape, fret, run):
            return
        yield from ((run, *others) for others in _runs(shape, fret, strings[size:]))


def _blocked(shape: Shape, fret: int, run: tuple[int, ...]) -> bool:
    """Tell whether a string under a barre would have to ring open or at a lower fret."""
    under = shape[run[0] : run[-1] + 1]
    return len(run) > 1 and any(f is not None and f < fret for f in under)


def _with_thumb(shape: Shape) -> Iterator[Holds]:
    """Yield the ways that take the outermost bass-side string with the thumb."""
    fret = shape[0]
    assert fret is not None
    rows = _rows((None, *shape[1:]))
    if rows and abs(fret - rows[0][0]) <= 1:
        for others in _share((None, *shape[1:]), rows, 1):
            yield (hold(THUMB, fret, (0,)), *others)


def shape_of(frets: tuple[int | None, ...], stops: tuple[int, ...]) -> tuple[Shape, int]:
    """Return a grip's shape and the fret from the nut that its 1 stands for (0: all open).

    >>> shape_of((None, 3, 5, 4, 5, 3), (0,) * 6)
    ((None, 1, 3, 2, 3, 1), 3)
    """
    at = [fret and fret + stop for fret, stop in zip(frets, stops, strict=True)]
    base = min(filter(None, at), default=0)
    up = 1 - base
    return tuple([fret and fret + up for fret in at]), base
