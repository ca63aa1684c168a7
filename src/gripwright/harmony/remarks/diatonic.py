"""Chords of the key itself, and chords borrowed from another mode on the same tonic."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from gripwright.harmony.applied import applied_to
from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import Facts
from gripwright.harmony.lenders import lender_of
from gripwright.harmony.remarks.passage import Place
from gripwright.theory.scale import Key

LEAST_NOTES = 3
_PLAIN = ("major", "minor")


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell a chord whose notes are all of the key, or all of another mode on its tonic."""
    chord, key = here.chord, here.key
    if len(chord.pcs) < LEAST_NOTES:
        return
    outside = chord.pcs - _pcs(key)
    leading = (key.tonic.pc + 11) % 12
    if not outside:
        yield Claim("changes.diatonic", (chord.symbol,), (key,))
        if key.mode not in _PLAIN:
            yield Claim("changes.mode-colour", (chord.symbol,), (key,))
    elif key.mode == "minor" and outside == {leading} and _has_leading_note(here):
        yield Claim("changes.leading-note", (chord.symbol,), (key,))
    elif here.degree == 0 and outside == {(key.tonic.pc + 4) % 12} and key.mode == "phrygian":
        yield Claim("changes.phrygian-major", (chord.symbol,), (key,))
    elif _is_melodic(here, outside):
        yield Claim("changes.variable-degree", (chord.symbol,), (key,))
    elif chord.kind not in ("aug", "other") and not _leads(here, after):
        lender = lender_of(chord, key)
        if lender:
            yield Claim("changes.borrowed", (chord.symbol,), (key, lender))


def _has_leading_note(here: Place) -> bool:
    """Return whether a chord of a minor key is one that the leading note makes: V, vii or III+."""
    return here.degree in (7, 11) or (here.degree == 3 and here.chord.kind == "aug")


def _is_melodic(here: Place, outside: frozenset[int]) -> bool:
    """Return whether only a minor key's raised six and seven are strange, at home or below."""
    raised = {(here.key.tonic.pc + size) % 12 for size in (9, 11)}
    home = here.degree == 0 and here.chord.third == "minor"
    return here.key.mode == "minor" and outside <= raised and (home or here.chord.bass in raised)


def _leads(here: Place, after: Place | None) -> bool:
    """Return whether a chord is at rest in a blues, applied, or falls a fifth as a dominant.

    That says more of it than a lender does.
    """
    chord, goal = here.chord, after.chord if after else None
    falls = goal is not None and chord.dominant and (chord.root - goal.root) % 12 == 7
    return here.rests or falls or applied_to(chord, here.key, goal) is not None


@lru_cache(maxsize=256)
def _pcs(key: Key) -> frozenset[int]:
    return frozenset(note.pc for note in key.notes)


def leaves(chord: Facts, key: Key) -> bool:
    """Return whether a chord has a note outside the key."""
    return not chord.pcs <= _pcs(key)
