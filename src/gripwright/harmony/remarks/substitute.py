"""Dominant sevenths that reach the next chord by another road than the fifth."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Place

_RESTING = ("maj", "maj7", "min", "min7", "7", "other")


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell tritone substitutes, the back door and the augmented sixths."""
    if after is None or here.rests or not here.chord.dominant:
        return
    if after.chord.kind not in _RESTING:
        return
    symbols, tonic = (here.chord.symbol, after.chord.symbol), here.key.tonic.pc
    fifth = (tonic + 7) % 12
    fall = (here.chord.root - after.chord.root) % 12
    opens = after.chord.root == tonic or (after.chord.root == fifth and after.chord.kind == "maj")
    if here.degree == 8 and after.chord.bass == fifth and opens:
        yield Claim("changes.augmented-sixth", symbols, (here.key,))
    elif fall == 1:
        yield Claim("changes.tritone-substitute", symbols, (here.key,))
    elif here.degree == 10 and after.chord.root == tonic and after.chord.third == "major":
        yield Claim("changes.backdoor", symbols, (here.key,))
