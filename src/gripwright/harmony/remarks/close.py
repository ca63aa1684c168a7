"""Closes of three and four chords that have a name, and the plagal close at the very end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Stop, symbols_of

# Degrees above the tonic, and the kind of claim; the verifiers look at the rest.
_THREE = {(8, 10, 0): "flat-six-seven-one", (10, 5, 0): "double-plagal"}
_WALKS = ((0, 10, 8, 7), (5, 3, 1, 0))
_STARTS = tuple(walk[:3] for walk in _WALKS)
_TRIADS = ("maj", "maj7", "7")


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a close where it starts."""
    degrees = [stop.place.degree for stop in stops]
    for at, three in enumerate(zip(degrees, degrees[1:], degrees[2:], strict=False)):
        key, kind = stops[at].place.key, _THREE.get(three)
        if kind and all(one.chord.kind in _TRIADS for one in stops[at : at + 2]):
            yield at, Claim(f"changes.{kind}", symbols_of(stops[at : at + 3]), (key,))
        if three in _STARTS and tuple(degrees[at : at + 4]) in _WALKS:
            yield at, Claim("changes.andalusian", symbols_of(stops[at : at + 4]), (key,))
    if len(stops) > 2 and degrees[-2:] == [5, 0]:
        yield (
            len(stops) - 2,
            Claim("changes.plagal", symbols_of(stops[-2:]), (stops[-1].place.key,)),
        )
