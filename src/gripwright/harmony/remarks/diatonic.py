"""Chords of the key itself, and chords borrowed from another mode on the same tonic."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from gripwright.harmony.applied import applied_to
from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Place
from gripwright.theory.scale import Key

# Where a chord is borrowed from, the likeliest first. Common practice, no source.
_LENDERS = {
    "major": ("minor", "mixolydian", "dorian", "phrygian", "lydian"),
    "mixolydian": ("major", "minor", "dorian", "phrygian", "lydian"),
    "lydian": ("major", "minor", "mixolydian", "dorian", "phrygian"),
    "minor": ("dorian", "major", "phrygian", "mixolydian", "lydian"),
    "dorian": ("minor", "major", "mixolydian", "phrygian", "lydian"),
    "phrygian": ("minor", "dorian", "major", "mixolydian", "lydian"),
}
LEAST_NOTES = 3


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell a chord whose notes are all of the key, or all of another mode on its tonic."""
    chord, key = here.chord, here.key
    if len(chord.pcs) < LEAST_NOTES:
        return
    outside = chord.pcs - _pcs(key)
    leading = (key.tonic.pc + 11) % 12
    if not outside:
        yield Claim("changes.diatonic", (chord.symbol,), (key,))
    elif key.mode == "minor" and outside == {leading} and here.degree in (7, 11):
        yield Claim("changes.leading-note", (chord.symbol,), (key,))
    elif not here.rests and not applied_to(chord, key, after.chord if after else None):
        lenders = (Key(key.tonic, mode) for mode in _LENDERS.get(key.mode, ()))
        for lender in lenders:
            if chord.pcs <= _pcs(lender):
                yield Claim("changes.borrowed", (chord.symbol,), (key, lender))
                return


@lru_cache(maxsize=256)
def _pcs(key: Key) -> frozenset[int]:
    return frozenset(note.pc for note in key.notes)
