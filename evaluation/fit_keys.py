"""Fit the table behind the keys, ``src/gripwright/harmony/key_weights.json``.

    OMP_NUM_THREADS=1 python evaluation/fit_keys.py songs --data FOLDER
    OMP_NUM_THREADS=1 python evaluation/fit_keys.py parts

A conditional random field over tonics (songs) or tonics and families (parts), on the very clues
that the product hears (`key_clues`). The weights are those of least loss with a normal prior
(L-BFGS). The loss is a soft margin: what all paths together score, each with a bonus for the
length it gets wrong, less what the annotated path scores. So a song whose key is clear teaches
nothing more, and the doubtful ones set the weights. Songs say nothing of major and minor, so
they have one row for both. Each song also teaches by excerpts, since changes that are typed are
seldom a whole song. ``keys.py --folds`` cross-validates.
"""

from __future__ import annotations

import argparse
import json
import random
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from keys_data import MODES, Piece, scores, songs
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from gripwright.harmony.key_clues import Heard, clues_in_song, rows_of
from gripwright.harmony.key_events import (
    Event,
    Idiom,
    events_of,
    habit_of,
    lap_starts,
    section_edges,
)
from gripwright.harmony.key_lifts import lifts_of, lowered
from gripwright.harmony.key_parts import clues_in_parts, clues_throughout
from gripwright.harmony.key_weights import states_of

TABLE = Path(__file__).parents[1] / "src" / "gripwright" / "harmony" / "key_weights.json"
HABITS = 4
IMPOSSIBLE = -1e3


@dataclass(frozen=True)
class Settings:
    """How an idiom is fitted; chosen by cross-validation.

    ``margin`` is what a piece that is wrong throughout is worth, ``weight`` how much a piece
    counts against the prior, ``change`` where the prior has the cost of a change of key,
    ``pull_pairs`` how hard it holds rows of two chords or more (those of one chord: 1, or as
    ``pulls`` says by the first word of the row), ``pull_change`` what a change costs and
    ``pull_habit`` what habits add to that,
    ``excerpts`` how many of each piece are taken and ``excerpt_weight`` how much they count,
    ``dearer`` how much more a change costs in the end than the fit says.
    """

    margin: float
    weight: float
    change: float
    pull_pairs: float
    pull_change: float
    excerpts: int = 0
    excerpt_weight: float = 0.0
    dearer: float = 1.0
    pull_habit: float = 0.3
    pulls: Mapping[str, float] = field(default_factory=dict)


SETTINGS: dict[Idiom, Settings] = {
    "songs": Settings(25.0, 1.0, -30.0, 4.0, 0.3, 12, 0.075, dearer=1.5),
    # What is heard all along is heard at every chord, so it is held the harder.
    "parts": Settings(
        6.0, 1.0, -1.0, 1.0, 1.0,
        pull_habit=100.0,
        pulls={"to": 3.0, "from": 3.0, "holds": 10.0, "opens": 200.0, "closes": 200.0},
    ),
}  # fmt: skip
RAREST = 3  # a row of two chords or more must be heard in so many songs
LEAST_PRICE = -1.0  # a change of key never costs less than this
FAINTEST = 0.02  # rows whose weights are all smaller are left out of the table


@dataclass(frozen=True)
class Sample:
    """A piece or an excerpt: its clues by event, and which states the annotation allows."""

    group: str
    clues: list[list[tuple[str, int, float]]]
    lengths: Any
    allowed: Any
    habit: int
    weight: float


def sample(
    piece: Piece, events: Sequence[Event], idiom: Idiom, weight: float = 1.0
) -> Sample | None:
    """Return what a run of events of a piece teaches; nothing if its keys do not rise with it."""
    tonics = np.array([piece.tonics[event.start] for event in events])
    if idiom == "songs" and any(lifts := lifts_of([event.mark for event in events])):
        if len(set(tonics)) == 1:
            return None
        events, tonics = lowered(events, lifts), (tonics - lifts) % 12
    clues = [
        [
            (row, pc, amount)
            for alike, amount in heard
            for clue in alike
            for row, pc in rows_of(clue)
        ]
        for heard in _heard(events, idiom)
    ]
    states = np.arange(states_of(idiom))
    allowed = states % 12 == tonics[:, None]
    if idiom == "parts":
        modes = [MODES.index(piece.modes[event.start] or "major") for event in events]
        allowed &= states // 12 == np.array(modes)[:, None]
    lengths = np.array([event.length for event in events])
    habit = habit_of([event.mark for event in events])
    return Sample(piece.group, clues, lengths, allowed, habit, weight)


def _heard(events: Sequence[Event], idiom: Idiom) -> Heard:
    if idiom == "songs":
        return clues_in_song(events)
    throughout = clues_throughout(events)
    return [[*heard, *throughout] for heard in clues_in_parts(events)]


def samples_of(pieces: Sequence[Piece], idiom: Idiom) -> list[Sample]:
    """Return the samples of pieces, excerpts included, the same at every call."""
    draw, settings = random.Random(5), SETTINGS[idiom]
    found = []
    for piece in pieces:
        events = events_of(piece.chords, piece.lengths)
        found.append(sample(piece, events, idiom))
        for start, end in _excerpts(events, settings.excerpts, draw):
            found.append(sample(piece, events[start:end], idiom, settings.excerpt_weight))
    return [one for one in found if one is not None]


def _excerpts(
    events: Sequence[Event], count: int, draw: random.Random
) -> Iterator[tuple[int, int]]:
    """Yield edges of excerpts of 4 to 20 chords: one in three the opening, others from a lap."""
    if len(events) <= 12:
        return
    marks = [event.mark for event in events]
    laps = {at for at, starts in enumerate(lap_starts(marks)) if starts}
    starts = sorted(section_edges(marks)[0] | laps | {0})
    for number in range(count):
        start = draw.choice(starts) if number % 3 else 0
        end = min(len(events), start + draw.randint(4, 20))
        if end - start >= 4:
            yield start, end


class Field:
    """The random field of an idiom over some samples: weights of rows, then of changes."""

    def __init__(self, idiom: Idiom, samples: Sequence[Sample]) -> None:
        self.idiom, self.settings = idiom, SETTINGS[idiom]
        self.states = states_of(idiom)
        self.families = self.states // 12
        # Pieces by length, so that step by step the first ones go on; events are stored by step.
        self.samples = sorted(samples, key=lambda one: -len(one.clues))
        sizes = np.array([len(one.clues) for one in self.samples])
        self.going = [int((sizes > step).sum()) for step in range(sizes.max())]
        self.offset = np.concatenate([[0], np.cumsum(self.going)])
        self.names = _names(self.samples)
        self.clues = self._matrix()
        self.clues_back = self.clues.T.tocsr()
        self.order = [self.offset[: len(one.clues)] + n for n, one in enumerate(self.samples)]
        self.allowed = np.empty((self.offset[-1], self.states), bool)
        self.miss = np.empty(self.offset[-1])
        self.weight = np.array([self.settings.weight * one.weight for one in self.samples])
        self.weight /= np.sqrt(sizes)
        self.each = np.empty(self.offset[-1])
        for one, rows, size in zip(self.samples, self.order, sizes, strict=True):
            self.allowed[rows] = one.allowed
            share = one.lengths / one.lengths.sum()
            self.miss[rows] = self.settings.margin * share * size**0.5
        for number, rows in enumerate(self.order):
            self.each[rows] = self.weight[number]
        self.habit = np.array([one.habit for one in self.samples])
        state = np.arange(self.states)
        self.kind = (state[:, None] // 12 * self.families + state // 12) * 12
        self.kind = self.kind + (state - state[:, None]) % 12
        self.other = ~np.eye(self.states, dtype=bool)
        self.kinds = 12 * self.families**2
        self.rows = self.states * len(self.names)
        pull = [
            self.settings.pull_pairs if ">" in name else self.settings.pulls.get(name.split()[0], 1)
            for name in self.names
        ]
        self.pull = np.concatenate([
            np.repeat(pull, self.states), np.full(self.kinds, self.settings.pull_change),
            np.full(HABITS, self.settings.pull_habit),
        ])  # fmt: skip
        self.prior = np.zeros(self.pull.size)
        self.prior[self.rows : -HABITS] = self.settings.change

    def _matrix(self) -> Any:
        """Return amounts by event and by (row, pitch class)."""
        number = {name: n for n, name in enumerate(self.names)}
        found = [
            (self.offset[step] + n, 12 * number[name] + pc, amount)
            for n, one in enumerate(self.samples)
            for step, heard in enumerate(one.clues)
            for name, pc, amount in heard
            if name in number
        ]
        at, column, amount = (np.array(part) for part in zip(*found, strict=True))
        return csr_matrix((amount, (at, column)), (int(self.offset[-1]), 12 * len(self.names)))

    def given(self, weights: Any) -> tuple[Any, Any, Any]:
        """Return what each event gives each state, what each change costs, and each habit."""
        rows = weights[: self.rows].reshape(len(self.names), self.families, 12)
        turned = rows[:, :, TURN].transpose(0, 2, 1, 3).reshape(12 * len(self.names), -1)
        return self.clues @ turned, weights[self.rows : -HABITS][self.kind], weights[-HABITS:]

    def loss(self, weights: Any) -> tuple[float, Any]:
        """Return the loss at some weights, and its slope."""
        given, change, habit = self.given(weights)
        free = self._marginals(given + self.miss[:, None] * ~self.allowed, change, habit)
        told = self._marginals(np.where(self.allowed, given, IMPOSSIBLE), change, habit)
        off = weights - self.prior
        total = 0.5 * float(self.pull @ (off * off)) + float(self.weight @ (free[0] - told[0]))
        slope = self.pull * off
        turned = self.clues_back @ (self.each[:, None] * (free[1] - told[1]))
        turned = turned.reshape(len(self.names), 12, self.families, 12).transpose(0, 2, 1, 3)
        back = np.stack([(turned * (above == TURN)).sum((2, 3)) for above in range(12)], -1)
        slope[: self.rows] += back.ravel()
        moved = free[2] - told[2]
        slope[self.rows : -HABITS] += np.bincount(
            self.kind.ravel(), (moved.sum(0) * self.other).ravel(), self.kinds
        )
        slope[-HABITS:] += moved.sum((1, 2))
        return total, slope

    def fit(self, rounds: int) -> Any:
        """Return the weights of least loss."""
        found = minimize(
            self.loss, self.prior.copy(), jac=True, method="L-BFGS-B",
            options={"maxiter": rounds, "maxcor": 15},
        )  # fmt: skip
        return found.x

    def _marginals(self, given: Any, change: Any, habit: Any) -> tuple[Any, Any, Any]:
        """Return by sample the log of all paths' sum, by event the share of each state, and by
        habit how often each change is expected (forward and backward, all samples at once)."""
        top = given.max(1, keepdims=True)
        local, move = np.exp(given - top), np.exp(change) * self.other
        ease = np.exp(habit)[self.habit][:, None]
        ahead, scale = np.empty_like(local), np.empty(len(local))
        behind = np.ones_like(local)
        steps = [slice(at, at + n) for at, n in zip(self.offset, self.going, strict=False)]
        for step, here in enumerate(steps):
            ahead[here] = local[here]
            if step:
                came = ahead[steps[step - 1]][: self.going[step]]
                ahead[here] *= came + ease[: self.going[step]] * (came @ move)
            scale[here] = ahead[here].sum(1)
            ahead[here] /= scale[here, None]
        moved = np.zeros((HABITS, self.states, self.states))
        for here, there in zip(reversed(steps[:-1]), reversed(steps[1:]), strict=True):
            on = there.stop - there.start
            came = slice(here.start, here.start + on)
            arrive = behind[there] * local[there] / scale[there, None]
            behind[came] = arrive + ease[:on] * (arrive @ move.T)
            shares = self.weight[:on, None] * ease[:on] * ahead[came]
            for number in range(HABITS):
                chosen = self.habit[:on] == number
                moved[number] += shares[chosen].T @ arrive[chosen]
        sums = np.zeros(len(self.samples))
        for step, here in enumerate(steps):
            sums[: self.going[step]] += np.log(scale[here]) + top[here, 0]
        return sums, ahead * behind, moved * move

    def table(self, weights: Any) -> dict[str, Any]:
        """Return the weights as the product reads them."""
        rows = weights[: self.rows].reshape(len(self.names), self.states)
        change, habit = weights[self.rows : -HABITS], weights[-HABITS:]
        prices = self.settings.dearer * (change.reshape(-1, 1, 12) + habit[:, None])
        prices = np.minimum(prices, LEAST_PRICE)
        pairs = [f"{old}>{new}" for old in range(self.families) for new in range(self.families)]
        return {
            "rows": {
                name: _round(row)
                for name, row in zip(self.names, rows, strict=True)
                if np.abs(row).max() >= FAINTEST
            },
            "change": {
                pair: [_round(row) for row in price]
                for pair, price in zip(pairs, prices, strict=True)
            },
        }


# What is heard at a pitch class is, from tonic k, that many semitones less.
TURN = (np.arange(12)[:, None] - np.arange(12)) % 12


def _names(samples: Sequence[Sample]) -> list[str]:
    """Return the rows that are fitted: of one chord, and of more where several songs have it."""
    groups: dict[str, set[str]] = defaultdict(set)
    for one in samples:
        for heard in one.clues:
            for name, _, _ in heard:
                groups[name].add(one.group)
    return sorted(name for name, of in groups.items() if ">" not in name or len(of) >= RAREST)


def _round(row: Any) -> list[float]:
    return [round(float(weight), 3) for weight in row]


def fitted(pieces: Sequence[Piece], idiom: Idiom, rounds: int) -> dict[str, Any]:
    """Return the table of an idiom, fitted on pieces."""
    field = Field(idiom, samples_of(pieces, idiom))
    return field.table(field.fit(rounds))


def main() -> None:
    """Fit an idiom and write its part of the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("idiom", choices=["songs", "parts"])
    parser.add_argument("--data", type=Path, help="folder of the song files")
    parser.add_argument("--rounds", type=int, default=45)
    asked = parser.parse_args()
    pieces = songs(asked.data) if asked.idiom == "songs" else list(scores())
    whole = json.loads(TABLE.read_text(encoding="utf-8")) if TABLE.exists() else {}
    whole[asked.idiom] = fitted(pieces, asked.idiom, asked.rounds)
    text = json.dumps(whole, separators=(",", ":"), sort_keys=True)
    TABLE.write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
