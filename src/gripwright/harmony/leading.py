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
    if doubling:
        return min(
            (_warped(here, there[turn:] + there[:turn]) for turn in range(len(there))),
            key=lambda found: found[0],
        )
    turns = []
    for turn in range(len(there)):
        pairs = tuple(zip(here, there[turn:] + there[:turn], strict=True))
        turns.append((sum(abs(step(*pair)) for pair in pairs), pairs))
    return min(turns)


def _warped(here: Sequence[int], there: Sequence[int]) -> tuple[int, tuple[Pair, ...]]:
    """Return the cheapest pairing that goes round both circles once, from the first pair on."""
    # The circle closes: the first note of each stands at the end too, unpaid.
    one, two = [*here, here[0]], [*there, there[0]]
    best: list[list[tuple[int, tuple[Pair, ...]]]] = []
    for i, note in enumerate(one):
        row: list[tuple[int, tuple[Pair, ...]]] = []
        for j, other in enumerate(two):
            ways = [best[i - 1][j]] if i else []
            ways += [row[j - 1]] if j else []
            ways += [best[i - 1][j - 1]] if i and j else []
            size, pairs = min(ways, key=lambda way: way[0]) if ways else (0, ())
            closing = i == len(here) and j == len(there)
            row.append(
                (size, pairs)
                if closing
                else (size + abs(step(note, other)), (*pairs, (note, other)))
            )
        best.append(row)
    return best[-1][-1]
