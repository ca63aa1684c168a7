"""Dominant sevenths at rest: the blues."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Place


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell a seventh that a blues gives to its first and fourth degree."""
    if here.rests:
        yield Claim("changes.blues-dominant", (here.chord.symbol,), (here.key,))
