"""Cadences and what stands in for them: six-fours, deceptive moves, closes of two chords."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.claims import Claim
from gripwright.harmony.function import is_cadential, is_four_over_five
from gripwright.harmony.remarks.passage import Place

_TO_DOMINANT = (2, 5)
_MAJOR_SIDE = ("major", "mixolydian", "lydian")


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell how a chord closes, or avoids to."""
    if after is None:
        if here.degree == 0 and here.chord.kind == "maj" and here.key.mode == "minor":
            yield Claim("changes.picardy", (here.chord.symbol,), (here.key,))
        return
    symbols = (here.chord.symbol, after.chord.symbol)
    if is_cadential(here.chord, here.key, after.chord) and not _on_dominant(before, here):
        yield Claim("changes.six-four", symbols, (here.key,))
    elif before is not None and _passes(before, here, after):
        yield Claim("changes.passing-six-four", (before.chord.symbol, *symbols))
    if is_four_over_five(here.chord, here.key, after.chord):
        yield Claim("changes.four-over-five", (here.chord.symbol,), (here.key,))
    if _is_deceptive(before, here, after):
        yield Claim("changes.deceptive", symbols, (here.key,))
    if _is_minor_plagal(here, after):
        yield Claim("changes.minor-plagal", symbols, (here.key,))
    if here.degree == 5 and here.chord.third == "minor" and after.degree == 7:
        yield Claim("changes.phrygian-half-close", symbols, (here.key,))


def _on_dominant(before: Place | None, here: Place) -> bool:
    """Return whether the dominant sounds already on that bass: then the six-four delays nothing."""
    return before is not None and before.degree == 7 and before.chord.bass == here.chord.bass


def _passes(before: Place, here: Place, after: Place) -> bool:
    """Return whether the bass walks by step through a triad over its fifth."""
    steps = [
        (two.chord.bass - one.chord.bass + 5) % 12 - 5
        for one, two in ((before, here), (here, after))
    ]
    over_five = (here.chord.bass - here.chord.root) % 12 == 7
    return over_five and here.chord.kind in ("maj", "min") and (
        all(0 < step <= 2 for step in steps) or all(-2 <= step < 0 for step in steps)
    )  # fmt: skip


def _is_deceptive(before: Place | None, here: Place, after: Place) -> bool:
    """Return whether a prepared or seventh-bearing dominant goes to the sixth degree."""
    to_sixth = (after.degree, after.chord.third) in ((9, "minor"), (8, "major"))
    dominant = here.degree == 7 and here.chord.kind in ("maj", "7")
    prepared = before is not None and before.degree in _TO_DOMINANT
    leans = here.chord.dominant or (prepared and here.chord.bass == here.chord.root)
    return to_sixth and dominant and leans and here.key == after.key


def _is_minor_plagal(here: Place, after: Place) -> bool:
    return (
        here.key.mode in _MAJOR_SIDE
        and here.degree == 5
        and here.chord.kind in ("min", "min7")
        and after.degree == 0
        and after.chord.third == "major"
        and (after.chord.bass - after.chord.root) % 12 != 7  # a six-four is not home yet
    )
