"""The best chain of grips through changes: exact over the candidates of each chord.

Each chord offers candidates (a grip with one way to hold it); each costs its effort and its
sound, each change what `change` says. Dynamic programming (Viterbi; for fingering first used
by Sayegh 1989) finds the chain with the smallest sum. The other aim makes the hardest moment as
easy as it can be (Hori and Sagayama 2016), and of all such chains takes the smallest sum. A
moment is a chord together with the change into it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gripwright.errors import SearchError
from gripwright.neck.fingering import ways, weigh
from gripwright.neck.shapes import THUMB, shape_of
from gripwright.voicing.change import (
    Matrix,
    Table,
    haste,
    heard,
    motion,
    table_of,
)
from gripwright.voicing.search import Found, region

Aim = Literal["total", "worst"]
ROUNDING = 1e-5


@dataclass(frozen=True, slots=True)
class Place:
    """One chord of the changes: its candidates, and the seconds since the chord before."""

    candidates: tuple[Found, ...]
    time_s: float = 2.0


@dataclass(frozen=True, slots=True)
class Chain:
    """A chosen grip for each place.

    ``moments`` are the costs of each with the change into it, ``cost`` their sum; ``strains``
    are the raw efforts among them: of the grip and of the hand's way there, without sound.
    """

    grips: tuple[Found, ...]
    moments: tuple[float, ...]
    strains: tuple[float, ...]

    @property
    def cost(self) -> float:
        """Return the sum of all moments."""
        return sum(self.moments)

    @property
    def worst(self) -> float:
        """Return the strain of the hardest moment."""
        return max(self.strains, default=0.0)


class _Costs:
    """All costs of one problem; equal pairs of candidate lists are weighed once."""

    def __init__(self, places: Sequence[Place], rising: bool) -> None:
        self.places = places
        self._rising = rising
        self._tables: dict[int, Table] = {}
        self._pairs: dict[tuple[int, int], tuple[Matrix, Matrix]] = {}
        self.own = [
            np.array([one.cost for one in place.candidates], np.float32) for place in places
        ]
        self.effort = [
            np.array([one.effort.raw for one in place.candidates], np.float32) for place in places
        ]

    def _table(self, index: int) -> Table:
        candidates = self.places[index].candidates
        if id(candidates) not in self._tables:
            self._tables[id(candidates)] = table_of(candidates)
        return self._tables[id(candidates)]

    def changes(self, index: int) -> tuple[Matrix, Matrix]:
        """Return the costs of the change into a place, [before, after]: of the hand, and all."""
        before, after = self._table(index - 1), self._table(index)
        key = (id(self.places[index - 1].candidates), id(self.places[index].candidates))
        if key not in self._pairs:
            self._pairs[key] = motion(before, after), heard(before, after, rising=self._rising)
        moved, told = self._pairs[key]
        hurried = np.float32(haste(self.places[index].time_s)) * moved
        return hurried, hurried + told


def best_chain(places: Sequence[Place], *, aim: Aim = "total", rising: bool = False) -> Chain:
    """Return the best chain; raises SearchError for a place without candidates."""
    _check(places)
    return _solve(_Costs(places, rising), aim, [np.zeros(len(p.candidates)) for p in places])


def _check(places: Sequence[Place]) -> None:
    if not places:
        raise SearchError("there are no chords to arrange", field="changes", remedy="give some")
    for index, place in enumerate(places):
        if not place.candidates:
            raise SearchError(
                f"chord {index + 1} has no grip to choose from", field="changes", at=index,
                remedy="allow a higher level, a wider span or another tuning",
            )  # fmt: skip


def _solve(costs: _Costs, aim: Aim, fines: Sequence[NDArray[np.float64]]) -> Chain:
    """Return the best chain, with a fine on each candidate that only steers the choice."""
    limit = _least_worst(costs, fines) + ROUNDING if aim == "worst" else np.inf
    total = costs.own[0] + fines[0]
    if aim == "worst":
        total = np.where(costs.effort[0] + fines[0] <= limit, total, np.inf)
    back: list[NDArray[np.intp]] = []
    for index in range(1, len(costs.own)):
        hand, change = costs.changes(index)
        sums = total[:, None] + change + (costs.own[index] + fines[index])[None, :]
        if aim == "worst":
            strains = hand + (costs.effort[index] + fines[index])[None, :]
            sums = np.where(strains <= limit, sums, np.inf)
        choice = sums.argmin(axis=0)
        back.append(choice)
        total = sums[choice, np.arange(len(choice))]
    picks = [int(total.argmin())]
    for choice in reversed(back):
        picks.append(int(choice[picks[-1]]))
    return _chain(costs, picks[::-1])


def _least_worst(costs: _Costs, fines: Sequence[NDArray[np.float64]]) -> float:
    """Return the least that the strain of the hardest moment of a chain can be."""
    worst = costs.effort[0] + fines[0]
    for index in range(1, len(costs.own)):
        hand, _ = costs.changes(index)
        strains = hand + (costs.effort[index] + fines[index])[None, :]
        worst = np.maximum(worst[:, None], strains).min(axis=0)
    return float(worst.min())


def _chain(costs: _Costs, picks: Sequence[int]) -> Chain:
    moments = [float(costs.own[0][picks[0]])]
    strains = [float(costs.effort[0][picks[0]])]
    for index in range(1, len(picks)):
        hand, change = costs.changes(index)
        before, after = picks[index - 1], picks[index]
        moments.append(float(change[before, after] + costs.own[index][after]))
        strains.append(float(hand[before, after] + costs.effort[index][after]))
    grips = tuple(p.candidates[i] for p, i in zip(costs.places, picks, strict=True))
    return Chain(grips, tuple(moments), tuple(strains))


def different_chains(
    places: Sequence[Place], count: int, *, aim: Aim = "total", rising: bool = False
) -> tuple[Chain, ...]:
    """Return up to ``count`` chains, best first, no two of which are alike at half their places.

    Two grips are alike with the hand in the same region of the neck and the same top note.
    Each next chain is the best one under a fine on what is like the chains before it, the
    smallest fine (doubled from a start) that makes it different enough; none is given where
    the candidates have no such chain.
    """
    _check(places)
    costs = _Costs(places, rising)
    chains = [_solve(costs, aim, [np.zeros(len(p.candidates)) for p in places])]
    while len(chains) < count:
        found = _next_different(costs, aim, chains)
        if found is None:
            break
        chains.append(found)
    return tuple(chains)


def _next_different(costs: _Costs, aim: Aim, chains: Sequence[Chain]) -> Chain | None:
    used = [
        np.array([sum(_alike(one, c.grips[i]) for c in chains) for one in p.candidates], float)
        for i, p in enumerate(costs.places)
    ]
    fine = 0.05
    while fine < 20:
        found = _solve(costs, aim, [fine * times for times in used])
        if all(_shared(found, chain) < 0.5 for chain in chains):
            return found
        fine *= 2
    return None


def _alike(one: Found, other: Found) -> bool:
    """Tell whether a player would call two grips the same place and the same melody note."""
    return region(one) == region(other) and max(one.midis) == max(other.midis)


def _shared(one: Chain, other: Chain) -> float:
    """Return the share of places at which two chains are alike."""
    alike = sum(_alike(a, b) for a, b in zip(one.grips, other.grips, strict=True))
    return alike / len(one.grips)


def all_holds(one: Found) -> tuple[Found, ...]:
    """Return a grip with each way to hold it, easiest first; the thumb where it is in use."""
    shape, base = shape_of(one.grip.frets, one.player.neck.stops)
    rig = one.player.rig
    thumb = any(hold.finger == THUMB for hold in one.way.holds)
    held = [
        replace(one, way=way, effort=weigh(way, base, rig)) for way in ways(shape, rig.style, thumb)
    ]
    return tuple(sorted(held, key=lambda found: found.effort.raw))


def finger_chain(grips: Sequence[Found], times_s: Sequence[float], aim: Aim = "total") -> Chain:
    """Return the chain of the same grips with the fingers that suit the whole way best.

    Exact over every way to hold each grip. A way that a teacher gave stays, where ``grips``
    lists it as the only one.
    """
    holds = {one.grip: all_holds(one) for one in grips}
    places = [Place(holds[one.grip], time) for one, time in zip(grips, times_s, strict=True)]
    return best_chain(places, aim=aim)
