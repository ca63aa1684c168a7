"""Chords moved in parallel: one quality by equal small steps out of the key; grips as they are."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Stop

LEAST = 3
_SMALL = (1, 2, 3, 9, 10, 11)  # what falls by fifths is a chain, not a shape that moves


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell three or more chords of one quality, equally spaced, and grips moved as they are."""
    for run in _equal_steps(stops):
        symbols = tuple(stop.chord.symbol for stop in run)
        step = _step(run[0], run[1])
        key = run[0].place.key
        scale = {note.pc for note in key.notes}
        leaves = any(not stop.chord.pcs <= scale for stop in run)
        small = step in _SMALL and not any(stop.place.rests for stop in run)
        comes_home = run[-1].place.degree == 0  # bVI bVII I is a close
        if len(run) >= LEAST and small and leaves and not comes_home:
            yield run[0].index, Claim("changes.parallel", symbols, (step, key))
    for here, after in itertools.pairwise(stops):
        if here.grip is not None and after.grip is not None:
            shift = _shift(here.grip.frets, after.grip.frets)
            if shift:
                yield here.index, Claim("changes.shape-moved", (here.grip, after.grip), (shift,))


def _equal_steps(stops: Sequence[Stop]) -> Iterator[Sequence[Stop]]:
    """Yield the longest stretches of one quality and one step between roots."""
    start = 0
    for end in range(1, len(stops) + 1):
        if end < len(stops) and _like(stops[end - 1], stops[end]):
            if end - start < 2 or _step(*stops[end - 1 : end + 1]) == _step(
                *stops[start : start + 2]
            ):
                continue
            yield stops[start:end]
            start = end - 1
        else:
            if end - start > 1:
                yield stops[start:end]
            start = end


def _like(one: Stop, two: Stop) -> bool:
    bass = (one.chord.bass - one.chord.root) % 12
    return (
        one.chord.root != two.chord.root
        and one.chord.symbol.quality == two.chord.symbol.quality
        and bass == (two.chord.bass - two.chord.root) % 12
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
