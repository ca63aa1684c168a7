"""Remarks on changes: each family is a module here with one function.

``moments`` proposes claims about a chord between its neighbours, ``runs`` about a longer
stretch. Only claims that the family's independent verifier (`claims_changes`) finds true are
told, since a wrong remark is worse than none.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from gripwright.harmony.claims import Claim, holds, sentence
from gripwright.harmony.remarks import (
    applied,
    blues,
    cadence,
    chromatic,
    close,
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

# Each family, and whether it looks on to the next chord on another root, in place of the very next.
MOMENTS: tuple[tuple[Moments, bool], ...] = (
    (modulation.moments, False), (diatonic.moments, True), (applied.moments, True),
    (applied.tense_moments, False), (substitute.moments, True), (chromatic.moments, False),
    (cadence.moments, False), (blues.moments, True), (suspension.moments, False),
)  # fmt: skip
RUNS: tuple[Runs, ...] = (
    formula.runs, close.runs, pedal.runs, pedal.top_runs, line.runs, line.through_runs,
    line.bass_runs, parallel.runs, parallel.constant_runs,
)  # fmt: skip

_OPEN = ("secondary-dominant-unresolved", "secondary-leading-tone-unresolved")
_SHAPES = frozenset({"borrowed", "chromatic-mediant", "side-step", "line-through", "neapolitan"})
# What says more of a chord than other remarks on it, which are then left out.
_INSTEAD: dict[str, frozenset[str]] = {
    "tritone-substitute": frozenset({"borrowed", *_OPEN}),
    "augmented-sixth": frozenset({"borrowed", "secondary-dominant", *_OPEN}),
    "neapolitan": frozenset({"borrowed"}),
    "picardy": frozenset({"borrowed"}),
    "common-tone-diminished": frozenset({"borrowed"}),
    "passing-diminished": frozenset({"borrowed"}),
    "side-step": frozenset({"borrowed"}),
    "suspension-resolves": frozenset({"borrowed"}),
    "blues-dominant": frozenset({"borrowed"}),
}
# What says more of a stretch than other remarks that lie within it.
_OVER: dict[str, frozenset[str]] = {
    "parallel": _SHAPES | {"constant-structure"},
    "constant-structure": _SHAPES,
    "thirds-cycle": _SHAPES | {"parallel", "constant-structure"},
    "dominant-chain": frozenset({"parallel"}),
    "line": frozenset({"line", "pedal", "variable-degree"}),
    "double-plagal": frozenset({"plagal"}),
    "turnaround": frozenset({"circle"}),
    "bass-line": frozenset({"line"}),
    "lament": frozenset({"bass-line", "line"}),
    "andalusian": frozenset({"lament"}),
}
# What is told of a chord after all else that is: of which notes it is made.
_OF_NOTES = ("borrowed", "mode-colour", "variable-degree", "leading-note", "diatonic")
_EXPECTING = ("deceptive", "chromatic-mediant")
# Those that explain their first two chords by where they lead.
_LEADING = ("two-five", "two-five-unresolved")


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to say of a chord: the kind of the claim and its sentence."""

    kind: str
    text: str


class _Stretch(NamedTuple):
    """A claim that holds over the stops from ``start`` up to, not including, ``end``."""

    start: int
    end: int
    kind: str
    remark: Remark

    def holds(self, other: _Stretch) -> bool:
        """Return whether another stretch lies within this one."""
        return self is not other and self.start <= other.start and other.end <= self.end


def remarks_on(stops: Sequence[Stop]) -> dict[int, tuple[Remark, ...]]:
    """Return what is told, by the index of the chord that it is told at."""
    stretches = _stretches(stops)
    hidden = _hidden(stretches, stops)
    roots = {stop.chord.root for stop in stops}
    told: dict[int, tuple[Remark, ...]] = {}
    places = [None, *(stop.place for stop in stops), None]
    onward = _onward(stops)
    for position, stop in enumerate(stops):
        remarks = _at(places[position], stop.place, places[position + 2], onward[position])
        if position in hidden:
            remarks = tuple(one for one in remarks if one.kind not in hidden[position])
        if any(one.kind in _EXPECTING for one in remarks):
            remarks = tuple(one for one in remarks if _is_news(one, position, stops, roots))
        told[stop.at] = remarks
    over = _saying_more(stretches)
    for one in stretches:
        if not any(other.holds(one) for other in over.get(one.kind, ())):
            told[stops[one.start].at] += (one.remark,)
    for at, remarks in told.items():
        if len(remarks) > 1:
            told[at] = tuple(sorted(remarks, key=_rank))
    return told


def _rank(remark: Remark) -> int:
    """Return the place of a remark among those of a chord: what it does comes first."""
    return _OF_NOTES.index(remark.kind) + 1 if remark.kind in _OF_NOTES else 0


def _saying_more(stretches: Iterable[_Stretch]) -> dict[str, list[_Stretch]]:
    """Return for each kind the stretches within which it is not told."""
    found: dict[str, list[_Stretch]] = {}
    for one in stretches:
        for lesser in _OVER.get(one.kind, ()):
            found.setdefault(lesser, []).append(one)
    return found


def _onward(stops: Sequence[Stop]) -> list[Place | None]:
    """Return for each stop the place of the next chord on another root."""
    found: list[Place | None] = [None] * len(stops)
    for at in range(len(stops) - 2, -1, -1):
        following = stops[at + 1]
        same = following.chord.root == stops[at].chord.root
        found[at] = found[at + 1] if same else following.place
    return found


def _hidden(stretches: Iterable[_Stretch], stops: Sequence[Stop]) -> dict[int, set[str]]:
    """Return the kinds that are not told at a position, since a stretch over it says more."""
    hidden: dict[int, set[str]] = {}
    for one in stretches:
        for at in range(one.start, one.end):
            if one.kind in _OVER:
                hidden.setdefault(at, set()).update(_OVER[one.kind])
        if _leads(one, stops):
            for at in (one.start, one.start + 1):
                hidden.setdefault(at, set()).add("borrowed")
        if one.kind == "two-five-unresolved":
            hidden.setdefault(one.start + 1, set()).add("secondary-dominant-unresolved")
    return hidden


def _is_news(remark: Remark, position: int, stops: Sequence[Stop], roots: set[int]) -> bool:
    """Return whether a goal ever sounds that is said to be missed, and a mediant is no way back."""
    stop = stops[position]
    if remark.kind == "deceptive":
        return stop.place.key.tonic.pc in roots
    back = position > 1 and stops[position - 2].chord is stop.chord
    return not (remark.kind == "chromatic-mediant" and back)


def _stretches(stops: Sequence[Stop]) -> list[_Stretch]:
    """Return the longer claims that hold, in order of where they start.

    What is claimed of the same chords again, as on every lap of a loop, is judged once.
    """
    found: list[_Stretch] = []
    judged: dict[tuple[object, ...], Remark | None] = {}
    for start, claim in itertools.chain.from_iterable(runs(stops) for runs in RUNS):
        same = (claim.kind, claim.args, *map(id, claim.subject))
        if same not in judged:
            judged[same] = _remark(claim) if holds(claim) else None
        remark = judged[same]
        if remark is not None:
            found.append(_Stretch(start, start + len(claim.subject), remark.kind, remark))
    return sorted(found, key=lambda one: one.start)


def _leads(one: _Stretch, stops: Sequence[Stop]) -> bool:
    """Return whether a two and five lead away from home, which explains both."""
    if one.kind in ("two-five-one", "two-sub-one"):
        return bool(stops[one.end - 1].place.degree)
    return one.kind in _LEADING


@lru_cache(maxsize=16384)
def _at(
    before: Place | None, here: Place, after: Place | None, onward: Place | None
) -> tuple[Remark, ...]:
    told = _told(
        claim
        for moments, looks_on in MOMENTS
        for claim in moments(before, here, onward if looks_on else after)
    )
    out = frozenset(itertools.chain.from_iterable(_INSTEAD.get(remark.kind, ()) for remark in told))
    return tuple(remark for remark in told if remark.kind not in out)


def _told(claims: Iterable[Claim]) -> tuple[Remark, ...]:
    return tuple(_remark(claim) for claim in claims if holds(claim))


@lru_cache(maxsize=16384)
def _remark(claim: Claim) -> Remark:
    text = sentence(claim)
    return Remark(claim.name, f"{text[0].upper()}{text[1:]}.")
