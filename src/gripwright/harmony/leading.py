"""Minimal voice leading between two sets of notes.

Dmitri Tymoczko, "The Geometry of Musical Chords", Science 313 (2006): the least total motion,
in semitones, over all ways to lead every note of one chord to a note of the other. With
doublings a note may split or two may meet; one to one, each has a partner of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

Pair = tuple[int, int]


def step(here: int, there: int) -> int:
    """Return the signed shortest way between pitch classes, -5 to 6."""
    return (there - here + 5) % 12 - 5


_SIZES = tuple(abs(step(0, size)) for size in range(12))  # a negative index wraps round


@lru_cache(maxsize=16384)
def least_motion(
    here: tuple[int, ...], there: tuple[int, ...], *, doubling: bool = True
) -> tuple[int, tuple[Pair, ...]]:
    """Return the size and the pairs of the least voice leading between two sets of pitch classes.

    Both tuples ascend and hold no class twice. The pairs go round the octave in order, since
    a crossing never helps (Tymoczko 2006, supporting text): for each rotation, a warping of
    one circle on the other. One to one needs sets of one size.

    >>> least_motion((0, 4, 7, 11), (3, 4, 8, 11))[0]
    3
    >>> least_motion((0, 4, 7, 11), (3, 4, 8, 11), doubling=False)[0]
    4
    """
    turns = [there[turn:] + there[:turn] for turn in range(len(there))]
    if not doubling:
        whole = [tuple(zip(here, turned, strict=True)) for turned in turns]
        return min((sum(abs(step(*pair)) for pair in pairs), pairs) for pairs in whole)
    grids = [_grid(here, turned) for turned in turns]
    best = min(range(len(turns)), key=lambda turn: grids[turn][-1][-1])
    return grids[best][-1][-1], _pairs(here, turns[best], grids[best])


def _grid(here: Sequence[int], there: Sequence[int]) -> list[list[int]]:
    """Return the least size of pairing each start of one circle with each start of the other.

    The circles close: the first note of each stands at the end too, where its pair is not paid.
    """
    two = (*there, there[0])
    grid: list[list[int]] = []
    above: list[int] = []
    for i, note in enumerate((*here, here[0])):
        row: list[int] = []
        for j, other in enumerate(two):
            way = 0
            if i:
                way = min(above[j], above[j - 1], row[-1]) if j else above[0]
            elif j:
                way = row[-1]
            row.append(way + _SIZES[other - note])
        grid.append(row)
        above = row
    grid[-1][-1] -= _SIZES[two[-1] - here[0]]
    return grid


def _pairs(here: Sequence[int], there: Sequence[int], grid: list[list[int]]) -> tuple[Pair, ...]:
    """Walk the cheapest way back through a grid; the closing pair is left out."""
    i, j = len(here), len(there)
    found: list[Pair] = []
    while i or j:
        ways = [(i - 1, j - 1)] if i and j else []
        ways += [(i - 1, j)] if i else []
        ways += [(i, j - 1)] if j else []
        i, j = min(ways, key=lambda way: grid[way[0]][way[1]])
        found.append((here[i % len(here)], there[j % len(there)]))
    return tuple(reversed(found))
