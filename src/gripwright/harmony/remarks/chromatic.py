"""The Neapolitan, chromatic mediants, and diminished sevenths that lead by common tone."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.applied import applied_to
from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import LEADING_KINDS
from gripwright.harmony.remarks.passage import Place

_TRIADS = ("maj", "maj7", "min", "min7")


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell chromatic chords by how they stand to their neighbours."""
    if after is not None:
        yield from _towards(here, after)
    if before is not None and _is_mediant(before, here, after):
        yield Claim("changes.chromatic-mediant", (before.chord.symbol, here.chord.symbol))


def _towards(here: Place, after: Place) -> Iterator[Claim]:
    symbols = (here.chord.symbol, after.chord.symbol)
    fifth = (here.key.tonic.pc + 7) % 12
    to_dominant = after.chord.bass == fifth and after.chord.third == "major"
    if here.chord.kind == "maj" and here.degree == 1 and to_dominant:
        yield Claim("changes.neapolitan", symbols, (here.key,))
    if here.chord.kind == "dim7" and after.chord.kind not in LEADING_KINDS:
        if after.chord.root in here.chord.pcs:
            yield Claim("changes.common-tone-diminished", symbols)
        elif (here.chord.bass - after.chord.bass) % 12 == 1:
            yield Claim("changes.passing-diminished", symbols)


def _is_mediant(before: Place, here: Place, after: Place | None) -> bool:
    """Return whether two like triads stand a third apart, neither leaning on a next chord."""
    one, two = before.chord, here.chord
    if one.kind not in _TRIADS or two.kind not in _TRIADS or one.third != two.third:
        return False
    creeps = (two.bass - one.bass) % 12 in (1, 11)  # then the bass explains it
    if creeps or (two.root - one.root) % 12 not in (3, 4, 8, 9):
        return False
    following = after.chord if after else None
    return not applied_to(one, before.key, two) and not applied_to(two, here.key, following)
