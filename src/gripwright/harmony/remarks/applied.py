"""Secondary dominants and leading-tone chords, and the tensions by which dominants lean."""

from __future__ import annotations

import re
from collections.abc import Iterator

from gripwright.harmony.applied import applied_to, collection
from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import Facts
from gripwright.harmony.numeral import numeral
from gripwright.harmony.remarks.diatonic import leaves
from gripwright.harmony.remarks.passage import Place
from gripwright.theory.scale import Key

_GOALS = ("maj", "maj7", "min", "min7", "7")
_ALTERED = (1, 3, 6, 8)
_ROOT = re.compile(r"[b#]*[IViv]+")


def moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell what a chord is applied to, and whether it goes there."""
    if after is None or here.rests:
        return
    applied = applied_to(here.chord, here.key, after.chord)
    symbols = (here.chord.symbol, after.chord.symbol)
    if applied and not (applied.role == "vii" and _sinks(here, after)):
        kind = "secondary-dominant" if applied.role == "V" else "secondary-leading-tone"
        args = (here.key, applied.goal, applied.pc)
        there = applied.reached or _is_delayed(after, applied.pc)
        yield Claim(f"changes.{kind}{'' if there else '-unresolved'}", symbols, args)
    elif _leads_abroad(here, after):
        args = (here.key, root_numeral(after.chord, here.key), after.chord.root)
        yield Claim("changes.secondary-dominant", symbols, args)


def root_numeral(chord: Facts, key: Key) -> str:
    """Return the numeral of a chord without what is above its root."""
    found = _ROOT.match(numeral(chord, key))
    assert found
    return found[0]


def tense_moments(before: Place | None, here: Place, after: Place | None) -> Iterator[Claim]:
    """Tell the altered notes of a dominant that goes on at once."""
    tense = here.chord.kind in ("7", "aug") and not here.rests
    if after is not None and tense and _falls(here, after):
        yield from _altered(here, after)


def _is_delayed(after: Place, goal: int) -> bool:
    """Return whether the tonic's six-four stands over the root of the dominant that is led to."""
    return after.degree == 0 and goal == after.chord.bass != after.chord.root


def _sinks(here: Place, after: Place) -> bool:
    """Return whether a diminished chord passes by a half step or stays, or is the two of a five.

    Such a chord does not lead up to the root above it.
    """
    passes = (here.chord.bass - after.chord.bass) % 12 in (0, 1)
    two = after.chord.dominant and (here.chord.root - after.chord.root) % 12 == 7
    return passes or two


def _falls(here: Place, after: Place) -> bool:
    return (here.chord.root - after.chord.root) % 12 == 7 and after.chord.kind in _GOALS


def _leads_abroad(here: Place, after: Place) -> bool:
    """Return whether a dominant seventh falls a fifth to a chord that the key does not have."""
    away = here.key == after.key and after.degree != 0 and not after.rests
    return here.chord.dominant and _falls(here, after) and away and leaves(here.chord, here.key)


def _altered(here: Place, after: Place) -> Iterator[Claim]:
    """Tell the altered notes that lie next to the goal, where one is not of the key."""
    root, inside = here.chord.root, collection(here.key)
    notes = [(root + size) % 12 for size in _ALTERED if size in here.chord.above]
    lean = [pc for pc in notes if {(pc + 1) % 12, (pc - 1) % 12} & after.chord.pcs]
    if any(pc not in inside for pc in lean):
        symbols = (here.chord.symbol, after.chord.symbol)
        yield Claim("changes.altered-dominant", symbols, (here.key, *lean))
