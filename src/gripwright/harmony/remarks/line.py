"""Line clichés: one voice creeps by half steps while the chord stays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Stop

LEAST = 3
LEAST_BASSES = 5


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a line of three or more half steps in one direction over one root and third."""
    for _, group in groupby(stops, key=lambda stop: (stop.chord.root, stop.chord.third)):
        held = list(group)
        at = 0
        while at + LEAST <= len(held):
            line, sign = max(
                ((_line(held[at:], sign), sign) for sign in (-1, 1)), key=lambda way: len(way[0])
            )
            if len(line) >= LEAST:
                symbols = tuple(stop.chord.symbol for stop in held[at : at + len(line)])
                yield held[at].index, Claim("changes.line", symbols, (sign, *line))
            at += max(1, len(line) - 1)


def bass_runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a bass that creeps by half steps in one direction under five chords or more."""
    steps = [(two.chord.bass - one.chord.bass) % 12 for one, two in pairwise(stops)]
    at = 0
    for step, group in groupby(steps):
        size = len(list(group))
        if step in (1, 11) and size + 1 >= LEAST_BASSES:
            symbols = tuple(stop.chord.symbol for stop in stops[at : at + size + 1])
            yield stops[at].index, Claim("changes.bass-line", symbols, (1 if step == 1 else -1,))
        at += size


def _line(stops: list[Stop], sign: int) -> tuple[int, ...]:
    """Return the longest line of new notes from the first stop on, as pitch classes."""
    best: tuple[int, ...] = ()
    for start in stops[0].chord.pcs:
        line = [start]
        for before, here in pairwise(stops):
            note = (line[-1] + sign) % 12
            if note not in here.chord.pcs or note in before.chord.pcs:
                break
            line.append(note)
        best = max(best, tuple(line), key=len)
    return best
