"""How a new key is reached: through a chord of both keys, or directly."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.applied import root_numeral
from gripwright.harmony.remarks.passage import Place

LEAST_NOTES = 3


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell a change of key at the first chord of the new one."""
    if before is None or before.key == here.key:
        return
    keys = (before.key, here.key)
    shared = frozenset.intersection(*(frozenset(n.pc for n in key.notes) for key in keys))
    for chord in (before.chord, here.chord):
        if len(chord.pcs) >= LEAST_NOTES and chord.pcs <= shared:
            numerals = (root_numeral(chord, before.key), root_numeral(chord, here.key))
            yield Claim("changes.pivot", (chord.symbol,), (*keys, *numerals))
            return
    yield Claim("changes.direct", (before.chord.symbol, here.chord.symbol), keys)
