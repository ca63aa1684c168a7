"""The Neapolitan, chromatic mediants, side steps, and diminished sevenths that pass or decorate."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.applied import applied_to
from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import LEADING_KINDS
from gripwright.harmony.remarks.diatonic import leaves
from gripwright.harmony.remarks.passage import Place

_TRIADS = ("maj", "maj7", "min", "min7")


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell chromatic chords by how they stand to their neighbours."""
    if after is not None:
        yield from _towards(before, here, after)
    if before is not None and _is_mediant(before, here, after):
        yield Claim("changes.chromatic-mediant", (before.chord.symbol, here.chord.symbol))


def _towards(before: Place | None, here: Place, after: Place) -> Iterator[Claim]:
    symbols = (here.chord.symbol, after.chord.symbol)
    seventh_at_home = after.degree == 0 and after.chord.kind not in ("maj", "min")
    if here.chord.kind in ("maj", "maj7") and here.degree == 1 and not seventh_at_home:
        yield Claim("changes.neapolitan", symbols, (here.key,))
    if here.chord.kind == "dim7":
        yield from _diminished(before, here, after)
    if before is not None and before.chord.kind == here.chord.kind != "maj":
        yield Claim("changes.side-step", (before.chord.symbol, *symbols), (here.key,))


def _diminished(before: Place | None, here: Place, after: Place) -> Iterator[Claim]:
    """Tell a diminished seventh that keeps the next root, or whose bass creeps on."""
    symbols = (here.chord.symbol, after.chord.symbol)
    if after.chord.kind in LEADING_KINDS:
        return
    climbs = (after.chord.bass - here.chord.bass) % 12 == 1
    leading = (here.key.tonic.pc - 1) % 12 in here.chord.pcs and after.degree in (0, 7)
    if after.chord.root in here.chord.pcs:
        yield Claim("changes.common-tone-diminished", symbols)
    elif (here.chord.bass - after.chord.bass) % 12 == 1 and not leading:
        yield Claim("changes.passing-diminished", symbols)
    if climbs and before is not None and (here.chord.bass - before.chord.bass) % 12 == 1:
        yield Claim("changes.passing-diminished", (before.chord.symbol, *symbols))


def _is_mediant(before: Place, here: Place, after: Place | None) -> bool:
    """Return whether two like triads stand a third apart, neither leaning on a next chord.

    One is the tonic, or both leave the key: else their own place in the key says more.
    """
    one, two = before.chord, here.chord
    if one.kind not in _TRIADS or two.kind not in _TRIADS or one.third != two.third:
        return False
    creeps = (two.bass - one.bass) % 12 in (1, 11)  # then the bass explains it
    if creeps or (two.root - one.root) % 12 not in (3, 4, 8, 9):
        return False
    abroad = leaves(one, before.key) and leaves(two, here.key)
    if 0 not in (before.degree, here.degree) and not abroad:
        return False
    following = after.chord if after else None
    return not applied_to(one, before.key, two) and not applied_to(two, here.key, following)
