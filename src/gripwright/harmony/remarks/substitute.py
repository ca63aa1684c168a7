"""Chords that reach the next one by another road than the fifth."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Place

_RESTING = ("maj", "maj7", "min", "min7", "7", "other")
_HOMES = {0: ("maj", "maj7"), 4: ("min", "min7")}  # the tonic, and what stands in for it
_FRENCH = {0, 2, 6, 8}  # above the tonic
_SIXTHS = ({0, 6, 8}, {0, 3, 6, 8}, _FRENCH)


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell tritone substitutes, the back door and the augmented sixths."""
    if after is None or here.rests or after.chord.kind not in _RESTING:
        return
    symbols = (here.chord.symbol, after.chord.symbol)
    home = after.chord.kind in _HOMES.get(after.degree, ())
    if _is_sixth(here, after):
        yield Claim("changes.augmented-sixth", symbols, (here.key,))
    elif not here.chord.dominant:
        return
    elif (here.chord.root - after.chord.root) % 12 == 1:
        yield Claim("changes.tritone-substitute", symbols, (here.key,))
    elif here.degree == 10 and home:
        yield Claim("changes.backdoor", symbols, (here.key,))


def _is_sixth(here: Place, after: Place) -> bool:
    """Return whether an augmented sixth over the flat six opens to the plain five or a six-four.

    Before a dominant seventh the seventh hides the opening: that is heard as a substitute, but for
    the French sixth, which is one by its flat five.
    """
    tonic = here.key.tonic.pc
    above = {(pc - tonic) % 12 for pc in here.chord.pcs}
    wide = ("maj", "7") if above == _FRENCH else ("maj",)
    five = after.degree == 7 and after.chord.kind in wide
    opens = (after.chord.bass - tonic) % 12 == 7 and (five or after.degree == 0)
    return above in _SIXTHS and (here.chord.bass - tonic) % 12 == 8 and opens
