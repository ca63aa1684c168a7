"""Remarks on changes: each family is a module here with one function.

``moments`` proposes claims about a chord between its neighbours, ``runs`` about a longer
stretch. Only claims that the family's independent verifier (`claims_changes`) finds true are
told, since a wrong remark is worse than none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from gripwright.harmony.claims import Claim, holds, sentence
from gripwright.harmony.remarks import (
    applied,
    blues,
    cadence,
    chromatic,
    diatonic,
    formula,
    line,
    modulation,
    parallel,
    pedal,
    substitute,
    suspension,
)
from gripwright.harmony.remarks.passage import Moments, Place, Runs, Stop

MOMENTS: tuple[Moments, ...] = (
    modulation.moments, diatonic.moments, applied.moments, substitute.moments,
    chromatic.moments, cadence.moments, blues.moments, suspension.moments,
)  # fmt: skip
RUNS: tuple[Runs, ...] = (formula.runs, pedal.runs, line.runs, line.bass_runs, parallel.runs)


# What explains a chord better than where its notes are borrowed from.
_INSTEAD = (
    "tritone-substitute", "augmented-sixth", "neapolitan", "common-tone-diminished",
    "passing-diminished",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to say of a chord: the kind of the claim and its sentence."""

    kind: str
    text: str


def remarks_on(stops: Sequence[Stop]) -> dict[int, tuple[Remark, ...]]:
    """Return what is told, by the index of the chord that it is told at."""
    told: dict[int, tuple[Remark, ...]] = {}
    before: Place | None = None
    roots = {stop.chord.root for stop in stops}
    for position, stop in enumerate(stops):
        after = stops[position + 1].place if position + 1 < len(stops) else None
        told[stop.index] = _at(before, stop.place, after)
        if stop.place.key.tonic.pc not in roots:  # nothing is expected of what never sounds
            told[stop.index] = tuple(r for r in told[stop.index] if r.kind != "deceptive")
        before = stop.place
    for runs in RUNS:
        for index, claim in runs(stops):
            told[index] += _told((claim,))
    return told


@lru_cache(maxsize=16384)
def _at(before: Place | None, here: Place, after: Place | None) -> tuple[Remark, ...]:
    told = _told(claim for moments in MOMENTS for claim in moments(before, here, after))
    if any(remark.kind in _INSTEAD for remark in told):
        return tuple(remark for remark in told if remark.kind != "borrowed")
    return told


def _told(claims: Iterable[Claim]) -> tuple[Remark, ...]:
    return tuple(Remark(claim.name, _capital(sentence(claim))) for claim in claims if holds(claim))


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."
