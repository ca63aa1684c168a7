"""Secondary dominants and secondary leading-tone chords."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.applied import applied_to
from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Place


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell what a chord is applied to, and whether it goes there."""
    if after is None or here.rests:
        return
    applied = applied_to(here.chord, here.key, after.chord)
    if applied:
        kind = "secondary-dominant" if applied.role == "V" else "secondary-leading-tone"
        symbols = (here.chord.symbol, after.chord.symbol)
        args = (here.key, applied.goal, applied.pc)
        yield Claim(f"changes.{kind}{'' if applied.reached else '-unresolved'}", symbols, args)
