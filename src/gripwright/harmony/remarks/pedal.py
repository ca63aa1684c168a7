"""Pedal points: one bass note under changing chords."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Stop

LEAST = 3


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a bass that stays under three or more chords of at least two roots."""
    for _, group in groupby(stops, key=lambda stop: stop.chord.bass):
        held = list(group)
        if len(held) >= LEAST and len({stop.chord.root for stop in held}) >= 2:
            yield held[0].index, Claim("changes.pedal", tuple(stop.chord.symbol for stop in held))
