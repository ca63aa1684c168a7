"""Pedal points: one note in the bass, or on top, under or over changing chords."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Stop, symbols_of

LEAST = 3


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a bass that stays under three or more chords of at least two roots."""
    start = 0
    for _, group in groupby(stops, key=lambda stop: stop.chord.bass):
        held = list(group)
        if len(held) >= LEAST and len({stop.chord.root for stop in held}) >= 2:
            yield start, Claim("changes.pedal", symbols_of(held))
        start += len(held)


def top_runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a highest note that stays on grips of three roots or more."""
    start = 0
    if not any(stop.heard for stop in stops):
        return
    for top, group in groupby(stops, key=lambda stop: max(stop.heard, default=None)):
        held = list(group)
        if top is not None and len({stop.chord.root for stop in held}) >= LEAST:
            grips = tuple(stop.grip for stop in held)
            yield start, Claim("changes.top-pedal", symbols_of(held), (grips, held[0].neck))
        start += len(held)
