"""Dominant sevenths at rest: the blues."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Place


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell a seventh that a blues gives to its first and fourth degree; IV7 also elsewhere."""
    fall = None if after is None else (here.chord.root - after.chord.root) % 12
    four = here.degree == 5 and here.chord.dominant and fall not in (None, 1, 7)
    if here.rests or (four and here.key.mode == "major"):
        yield Claim("changes.blues-dominant", (here.chord.symbol,), (here.key,))
