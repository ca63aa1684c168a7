"""Chords of the key itself, and chords borrowed from another mode on the same tonic."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from gripwright.harmony.applied import applied_to
from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import Facts
from gripwright.harmony.remarks.passage import Place
from gripwright.theory.scale import Key

# Where a chord is borrowed from, the likeliest first. Common practice, no source.
_LENDERS = {
    "major": ("minor", "mixolydian", "dorian"),
    "mixolydian": ("minor", "major", "dorian"),
    "lydian": ("major", "minor", "mixolydian"),
    "minor": ("major", "dorian"),
    "dorian": ("minor", "major"),
    "phrygian": ("minor", "major"),
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
    elif here.degree == 0 and outside == {(key.tonic.pc + 4) % 12} and key.mode == "phrygian":
        yield Claim("changes.phrygian-major", (chord.symbol,), (key,))
    elif after is None and here.degree == 0 and chord.kind == "maj" and key.mode == "minor":
        yield Claim("changes.picardy", (chord.symbol,), (key,))
    elif _is_melodic(here, outside):
        yield Claim("changes.variable-degree", (chord.symbol,), (key,))
    elif (
        not here.rests
        and not _falls(chord, after)
        and not applied_to(chord, key, after.chord if after else None)
    ):
        lenders = (Key(key.tonic, mode) for mode in _LENDERS.get(key.mode, ()))
        for lender in lenders:
            if chord.pcs <= _pcs(lender):
                yield Claim("changes.borrowed", (chord.symbol,), (key, lender))
                return


def _is_melodic(here: Place, outside: frozenset[int]) -> bool:
    """Return whether only a minor key's raised six and seven are strange, at home or below."""
    raised = {(here.key.tonic.pc + size) % 12 for size in (9, 11)}
    home = here.degree == 0 and here.chord.third == "minor"
    return here.key.mode == "minor" and outside <= raised and (home or here.chord.bass in raised)


def _falls(chord: Facts, after: Place | None) -> bool:
    """Return whether a dominant seventh goes where it leads: that says more than a lender."""
    return after is not None and chord.dominant and (chord.root - after.chord.root) % 12 == 7


@lru_cache(maxsize=256)
def _pcs(key: Key) -> frozenset[int]:
    return frozenset(note.pc for note in key.notes)
