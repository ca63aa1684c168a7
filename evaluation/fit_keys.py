"""Fit the table behind the keys, ``src/gripwright/harmony/key_weights.json``.

    OMP_NUM_THREADS=1 python evaluation/fit_keys.py songs --data FOLDER
    OMP_NUM_THREADS=1 python evaluation/fit_keys.py parts
    ... --folds      cross-validate instead: weights fitted on other songs than scored

A conditional random field over tonics (songs) or tonics and families (parts): the log odds of
what `key_evidence` looks at, fitted to the annotated tonics by maximum likelihood with a
normal prior (L-BFGS). Songs say nothing of major and minor, so they have one table for both.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from keys_data import MODES, Piece, folds, interval, scores, songs
from scipy.optimize import minimize

from gripwright.harmony.facts import COLOUR_OF_KIND, KINDS, THIRD_OF_KIND
from gripwright.harmony.key_evidence import events_of, habit_of, lap_starts

TABLE = Path(__file__).parents[1] / "src" / "gripwright" / "harmony" / "key_weights.json"
THIRDS, COLOURS = ("major", "minor", "other"), ("maj", "7", "min", "dim", "other")
FADE = {"songs": 0.5, "parts": 0.0}
FAMILIES = {"songs": ("any",), "parts": MODES}
CHANGE = {"songs": -5.0, "parts": -1.0}  # where the prior has the cost of a change of key
# How hard the prior pulls, chosen by cross-validation: moves are many and mostly rare.
PULL_MOVES = {"songs": 4.0, "parts": 1.0}
PULL_CHANGE = {"songs": 4.0, "parts": 1.0}
LEAST_PRICE = -1.0  # a change of key never costs less than this
FAINTEST_MOVE = 0.045  # smaller weights of a move are left out of the table
# Rows a family: each row has twelve weights, by semitones above the tonic.
BLOCKS = {"chord": len(KINDS), "long": 3, "bass": 2, "first": 3, "last": 3, "lap": 3}
MOVES = 12 * len(COLOURS) * 12 * len(COLOURS)
ROWS = 12 * sum(BLOCKS.values()) + MOVES


@dataclass(frozen=True)
class Sample:
    """A piece as arrays: which weights each state of each event takes, and how much of them."""

    piece: Piece
    of_event: list[int]
    index: Any
    value: Any
    allowed: Any
    habit: int


def sample(piece: Piece, idiom: str) -> Sample:
    """Return the arrays of a piece."""
    events = events_of(piece.chords, piece.lengths)
    families = len(FAMILIES[idiom])
    facts = [event.facts for event in events]
    count = len(events)
    roots, basses = (np.array([getattr(f, name) for f in facts]) for name in ("root", "bass"))
    kinds = np.array([KINDS.index(f.kind) for f in facts])
    thirds = np.array([THIRDS.index(THIRD_OF_KIND[f.kind]) for f in facts])
    colours = np.array([COLOURS.index(COLOUR_OF_KIND[f.kind]) for f in facts])
    marks = [(f.root, f.kind) for f in facts]
    laps = np.array(lap_starts(marks), float)
    lengths = np.array([event.length for event in events])
    once = _fade(marks, idiom)
    long = once * np.clip(np.log2(np.maximum(lengths, 1e-6) / np.median(lengths)), -2, 2)
    pairs = list(zip([None, *marks[:-1]], marks, strict=True))
    move = _fade(pairs, idiom) * (np.arange(count) > 0)
    lap = laps * _fade(list(zip(marks, laps, strict=True)), idiom, only=laps)
    edge = np.arange(count)
    blocks = {
        "chord": (kinds, once), "long": (thirds, long), "bass": (basses != roots, once),
        "first": (thirds, edge == 0), "last": (thirds, edge == count - 1), "lap": (thirds, lap),
    }  # fmt: skip
    tonics = np.tile(np.arange(12), families)
    base = np.repeat(np.arange(families) * ROWS, 12)
    index, value, offset = [], [], 0
    for name, (row, amount) in blocks.items():
        notes = basses if name == "bass" else roots
        above = (notes[:, None] - tonics) % 12
        index.append(base + offset + 12 * row.astype(int)[:, None] + above)
        value.append(np.repeat(amount.astype(float)[:, None], len(tonics), 1))
        offset += 12 * BLOCKS[name]
    above = (roots[:, None] - tonics) % 12 * len(COLOURS) + colours[:, None]
    before = np.vstack([above[:1], above[:-1]])
    index.append(base + offset + before * 12 * len(COLOURS) + above)
    value.append(np.repeat(move[:, None], len(tonics), 1))
    of_event = [n for n, event in enumerate(events) for _ in range(event.start, event.end)]
    first = [event.start for event in events]
    allowed = np.array([[tonic == piece.tonics[at] for tonic in tonics] for at in first])
    if families == len(MODES):
        mode = np.repeat(np.arange(2), 12)
        allowed &= np.array([[MODES[m] == piece.modes[at] for m in mode] for at in first])
    return Sample(
        piece, of_event, np.stack(index, -1), np.stack(value, -1), allowed, habit_of(marks)
    )


def _fade(marks: Sequence[object], idiom: str, only: Any = None) -> Any:
    """Return n ** -fade for the n-th hearing of each mark."""
    heard: dict[object, int] = {}
    shares = []
    for place, mark in enumerate(marks):
        if only is None or only[place]:
            heard[mark] = heard.get(mark, 0) + 1
        shares.append(max(heard.get(mark, 1), 1) ** -FADE[idiom])
    return np.array(shares)


class Field:
    """The random field of an idiom: weights of rows, then of changes by interval and habit."""

    def __init__(self, idiom: str) -> None:
        self.idiom = idiom
        self.families = len(FAMILIES[idiom])
        self.states = 12 * self.families
        self.rows = ROWS * self.families
        pairs = self.families**2
        self.size = self.rows + 4 * 12 * pairs
        state = np.arange(self.states)
        pair = (state[:, None] // 12) * self.families + state // 12
        self.change = self.rows + 4 * (12 * pair + (state - state[:, None]) % 12)
        self.other = ~np.eye(self.states, dtype=bool)
        self.prior, self.pull = np.zeros(self.size), np.ones(self.size)
        for family in range(self.families):
            self.pull[(family + 1) * ROWS - MOVES : (family + 1) * ROWS] = PULL_MOVES[idiom]
        self.prior[self.rows :] = CHANGE[idiom]
        self.pull[self.rows :] = PULL_CHANGE[idiom]

    def scores(self, weights: Any, one: Sample) -> tuple[Any, Any]:
        """Return what each event gives each state, and what each change costs."""
        change = weights[self.change + one.habit] * self.other
        return np.einsum("tsk,tsk->ts", weights[one.index], one.value), change

    def fit(self, samples: Sequence[Sample], rounds: int) -> Any:
        """Return the weights of greatest posterior."""

        def loss(weights: Any) -> tuple[float, Any]:
            off = weights - self.prior
            total, slope = 0.5 * float(self.pull @ (off * off)), self.pull * off
            for one in samples:
                given, change = self.scores(weights, one)
                weigh = SONG_WEIGHT[self.idiom] / len(given) ** 0.5
                free, seen, moved = _marginals(given, change)
                fixed, kept, right = _marginals(np.where(one.allowed, given, -60.0), change)
                total += weigh * (free - fixed)
                spread = (weigh * (seen - kept))[..., None] * one.value
                slope += np.bincount(one.index.ravel(), spread.ravel(), self.size)
                moves = weigh * (moved - right) * self.other
                np.add.at(slope, self.change + one.habit, moves)
            return total, slope

        start = self.prior.copy()
        result = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": rounds})
        return result.x

    def best(self, weights: Any, one: Sample) -> list[int]:
        """Return the best states."""
        given, change = self.scores(weights, one)
        reach, back = given[0], []
        for row in given[1:]:
            ways = reach[:, None] + change
            back.append(ways.argmax(0))
            reach = ways.max(0) + row
        path = [int(reach.argmax())]
        for came in reversed(back):
            path.append(int(came[path[-1]]))
        return path[::-1]

    def table(self, weights: Any) -> dict[str, Any]:
        """Return the weights as the product reads them."""
        told: dict[str, Any] = {"fade": FADE[self.idiom], "move": {}, "change": {}}
        names = {"chord": KINDS, "bass": ("root", "other")}
        for number, family in enumerate(FAMILIES[self.idiom]):
            part, offset = weights[number * ROWS : (number + 1) * ROWS], 0
            for block, rows in BLOCKS.items():
                here = part[offset : offset + 12 * rows].reshape(rows, 12)
                told.setdefault(block, {})[family] = {
                    name: _round(row)
                    for name, row in zip(names.get(block, THIRDS), here, strict=True)
                }
                offset += 12 * rows
            cube = part[offset:].reshape(12, len(COLOURS), 12, len(COLOURS))
            told["move"][family] = {
                f"{a}{COLOURS[i]}>{b}{COLOURS[j]}": round(float(cube[a, i, b, j]), 2)
                for a, i, b, j in np.argwhere(np.abs(cube) >= FAINTEST_MOVE)
            }
            for other, goal in enumerate(FAMILIES[self.idiom]):
                start = self.change[12 * number, 12 * other : 12 * other + 12]
                told["change"][f"{family}>{goal}"] = [
                    _round(np.minimum(weights[start + habit], LEAST_PRICE)) for habit in range(4)
                ]
        return told


SONG_WEIGHT = {"songs": 1.0, "parts": 3.0}


def _round(row: Any) -> list[float]:
    return [round(float(weight), 2) for weight in row]


def _marginals(given: Any, change: Any) -> tuple[float, Any, Any]:
    """Return log partition, state marginals and expected changes (forward and backward)."""
    top = given.max(1, keepdims=True)
    local, move = np.exp(given - top), np.exp(change)
    count = len(given)
    ahead, scale = np.empty_like(local), np.empty(count)
    ahead[0] = local[0]
    for place in range(count):
        if place:
            ahead[place] = (ahead[place - 1] @ move) * local[place]
        scale[place] = ahead[place].sum()
        ahead[place] /= scale[place]
    behind = np.ones_like(local)
    for place in range(count - 2, -1, -1):
        behind[place] = move @ (behind[place + 1] * local[place + 1]) / scale[place + 1]
    arrive = behind[1:] * local[1:] / scale[1:, None]
    moved = move * (ahead[:-1].T @ arrive)
    return float(np.log(scale).sum() + top.sum()), ahead * behind, moved


def measure(field: Field, weights: Any, samples: Sequence[Sample]) -> list[tuple[float, float]]:
    """Return for each piece the length that is right, and all of it."""
    found = []
    for one in samples:
        path, piece = field.best(weights, one), one.piece
        right = 0.0
        for event, length, tonic, mode in zip(
            one.of_event, piece.lengths, piece.tonics, piece.modes, strict=False
        ):
            state = path[event]
            same = mode is None or MODES[state // 12] == mode
            right += length * (state % 12 == tonic and same)
        found.append((right, sum(piece.lengths[: len(one.of_event)])))
    return found


def main() -> None:
    """Fit an idiom and write its part of the table, or cross-validate it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("idiom", choices=["songs", "parts"])
    parser.add_argument("--data", type=Path, help="folder of the song files")
    parser.add_argument("--folds", action="store_true")
    parser.add_argument("--rounds", type=int, default=80)
    asked = parser.parse_args()
    pieces = list(songs(asked.data)) if asked.idiom == "songs" else list(scores())
    samples = [sample(piece, asked.idiom) for piece in pieces]
    field = Field(asked.idiom)
    if not asked.folds:
        fitted = field.table(field.fit(samples, asked.rounds))
        whole = json.loads(TABLE.read_text(encoding="utf-8")) if TABLE.exists() else {}
        whole[asked.idiom] = fitted
        text = json.dumps(whole, separators=(",", ":"), sort_keys=True)
        TABLE.write_text(text + "\n", encoding="utf-8")
        return
    fold = folds(pieces)
    results: dict[str, list[tuple[float, float]]] = {}
    for number in sorted(set(fold)):
        others = [one for one, f in zip(samples, fold, strict=True) if f != number]
        held = [one for one, f in zip(samples, fold, strict=True) if f == number]
        shares = measure(field, field.fit(others, asked.rounds), held)
        for one, share in zip(held, shares, strict=True):
            results.setdefault(one.piece.source, []).append(share)
    for source, shares in results.items():
        whole_share, low, high = interval(shares)
        print(f"{source:<10} {whole_share:5.1f} % of length  [{low:.1f}, {high:.1f}]")


if __name__ == "__main__":
    main()
