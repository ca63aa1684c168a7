"""Suspensions, and whether they resolve."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Place

_SUSPENDED = {"sus4": 5, "7sus4": 5, "9sus4": 5, "13sus4": 5, "maj7sus4": 5,
              "sus2": 2, "7sus2": 2, "maj7sus2": 2}  # fmt: skip


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell what the second or fourth of a suspended chord does next."""
    size = _SUSPENDED.get(here.chord.symbol.quality.base)
    if size is None or after is None:
        return
    note = (here.chord.root + size) % 12
    symbols = (here.chord.symbol, after.chord.symbol)
    if after.chord.root != here.chord.root:
        yield Claim("changes.suspension-stays", symbols, (note,))
    elif after.chord.third != "other" and note not in after.chord.pcs:
        yield Claim("changes.suspension-resolves", symbols, (note,))
