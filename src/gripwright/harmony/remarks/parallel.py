"""Chords moved in parallel: one quality by equal small steps out of the key; grips as they are."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.diatonic import LEAST_NOTES, leaves
from gripwright.harmony.remarks.passage import Stop, symbols_of

LEAST = 3
LEAST_CONSTANT = 4
_SMALL = (1, 2, 3, 9, 10, 11)  # what falls by fifths is a chain, not a shape that moves


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell three or more chords of one quality, equally spaced, and grips moved as they are."""
    for start, end in _equal_steps(stops):
        run = stops[start:end]
        if len(run) >= LEAST and _moves(run):
            claim = Claim(
                "changes.parallel", symbols_of(run), (_step(run[0], run[1]), run[0].place.key)
            )
            yield start, claim
    for at, (here, after) in enumerate(itertools.pairwise(stops)):
        if here.grip is not None and after.grip is not None:
            shift = _shift(here.grip.frets, after.grip.frets)
            if shift:
                yield at, Claim("changes.shape-moved", (here.grip, after.grip), (shift,))


def constant_runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell four or more chords of one quality on unequal roots, most of them out of the key."""
    start = 0
    for end in range(1, len(stops) + 1):
        if end < len(stops) and _like(stops[end - 1], stops[end]):
            continue
        run = stops[start:end]
        if len(run) >= LEAST_CONSTANT and not run[0].chord.dominant and _abroad(run):
            yield start, Claim("changes.constant-structure", symbols_of(run), (run[0].place.key,))
        start = end


def _moves(run: Sequence[Stop]) -> bool:
    """Return whether equal steps are small and leave the key; flat VI, VII, I is a close."""
    small = _step(run[0], run[1]) in _SMALL and not any(stop.place.rests for stop in run)
    close = [stop.place.degree for stop in run] == [8, 10, 0]
    plain = len(run) == LEAST and run[0].chord.kind in ("maj", "min")
    thirds = plain and _step(run[0], run[1]) in (3, 9)  # three triads so come about by chance
    if len(run[0].chord.above) < LEAST_NOTES:
        return False  # bare fifths always move so
    return small and not (close or thirds) and any(leaves(s.chord, s.place.key) for s in run)


def _abroad(run: Sequence[Stop]) -> bool:
    sizes = {min(_step(*two), 12 - _step(*two)) for two in itertools.pairwise(run)}
    if len(sizes) == 1:
        return False  # it moves in parallel, there and back
    out = sum(leaves(stop.chord, run[0].place.key) for stop in run)
    return out > 1 and out * 2 >= len(run) and len({stop.chord.root for stop in run}) > 2


def _equal_steps(stops: Sequence[Stop]) -> Iterator[tuple[int, int]]:
    """Yield where the longest stretches of one quality and one step between roots start and end."""
    start = 0
    for end in range(1, len(stops) + 1):
        if end < len(stops) and _like(stops[end - 1], stops[end]):
            if end - start < 2 or _step(*stops[end - 1 : end + 1]) == _step(
                *stops[start : start + 2]
            ):
                continue
            yield start, end
            start = end - 1
        else:
            if end - start > 1:
                yield start, end
            start = end


def _like(one: Stop, two: Stop) -> bool:
    here, there = one.chord, two.chord
    return (
        here.kind == there.kind
        and here.root != there.root
        and (here.bass - here.root - there.bass + there.root) % 12 == 0
        and here.symbol.quality == there.symbol.quality
    )


def _step(one: Stop, two: Stop) -> int:
    return (two.chord.root - one.chord.root) % 12


def _shift(one: Sequence[int | None], two: Sequence[int | None]) -> int:
    """Return by how many frets a shape without open strings moved as a whole, 0 for no such."""
    moves: set[int] = set()
    for fret, other in zip(one, two, strict=True):
        if fret and other:
            moves.add(other - fret)
        elif fret is not None or other is not None:
            return 0
    return moves.pop() if len(moves) == 1 else 0
