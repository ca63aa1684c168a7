"""Fit the table behind the letters, ``src/gripwright/harmony/letter_weights.json``.

    OMP_NUM_THREADS=1 python evaluation/fit_letters.py [--folds FOLDER]

A chain of hidden local keys, as `harmony.letters` describes it, gives each score's letters a
likelihood when its pitches are known. The weights are those of most conditional likelihood
with a normal prior (L-BFGS), counted from the signs that the product itself hears
(`letter_signs`). A composer counts by the square root of the notes there are. With ``--folds``
a table is written for each fold of composers (`spelling_data.FOLDS`), fitted on the others.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numba
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from spelling_data import FOLDS, Score, fold_of, scores

from gripwright.harmony.letter_signs import Sounds, signs_of
from gripwright.harmony.letter_weights import (
    FARTHEST,
    HIGHEST_NAME,
    HIGHEST_PLACE,
    LOWEST_NAME,
    LOWEST_PLACE,
    MODES,
    MOVES,
    ROLES,
    STATES,
)
from gripwright.harmony.letters import HELD, TWIN, TWIN_COST

TABLE = Path(__file__).parents[1] / "src" / "gripwright" / "harmony" / "letter_weights.json"
Array = NDArray[np.float64]
LONGEST = 2500  # notes of one score that teach
MOST_SCORES = {"bach": 45, "monteverdi": 18}
PRIOR, PRIOR_ROWS = 0.05, 0.2  # how hard the prior holds modes and changes, and the other rows
ROUNDS = 75
TONICS = np.array([state.tonic for state in STATES])
SIGNS = np.array([state.signs for state in STATES])
MODE = np.array([state.mode for state in STATES])
PLACES = HIGHEST_PLACE - LOWEST_PLACE + 1
NAMES = HIGHEST_NAME - LOWEST_NAME + 1
DISTANCE = np.minimum(abs(SIGNS[:, None] - SIGNS[None, :]), FARTHEST)
CHANGE = (MODE[:, None] * 2 + MODE[None, :]) * (FARTHEST + 1) + DISTANCE
NAME_AT = np.clip(
    np.arange(PLACES)[None, :] + LOWEST_PLACE + TONICS[:, None] - LOWEST_NAME, 0, NAMES - 1
)
SHAPES = {
    "modes": (2, PLACES), "names": (NAMES,), "moves": (len(MOVES), PLACES),
    "roles": (len(ROLES), PLACES), "changes": (4 * (FARTHEST + 1),), "pulls": (2,),
}  # fmt: skip


class Heard(NamedTuple):
    """A score as arrays: of each note its sign, letter and weight, where chords start, signatures.

    A sign is a pitch class and 12 times its class, move times the number of roles plus role.
    """

    signs: NDArray[np.int64]
    letters: NDArray[np.int64]
    counts: Array
    starts: NDArray[np.int64]
    near: NDArray[np.int64]


def hear(score: Score) -> Heard:
    """Return the first notes of a score as the product hears them."""
    chords = [Sounds(tuple(midi for midi, _ in chord)) for chord in score.chords]
    signs, letters, counts, starts = [], [], [], [0]
    for index, chord in enumerate(score.chords):
        before = chords[index - 1].midi if index else ()
        for sign, (midi, letter) in zip(signs_of(chords, index), chord, strict=True):
            signs.append(sign.pc + 12 * (sign.move * len(ROLES) + sign.role))
            letters.append(letter)
            counts.append(HELD if midi in before else 1.0)
        starts.append(len(signs))
        if len(signs) > LONGEST:
            break
    near = np.array(score.signs[: len(starts) - 1])
    return Heard(np.array(signs), np.array(letters), np.array(counts), np.array(starts), near)


def part(weights: Array, name: str) -> Array:
    """Return one table of the row of all weights."""
    start = 0
    for known, shape in SHAPES.items():
        size = int(np.prod(shape))
        if known == name:
            return weights[start : start + size].reshape(shape)
        start += size
    raise KeyError(name)


def first_guess() -> Array:
    """Return the mean of the prior: the scale, its raised notes, and cheap short moves."""
    place = np.arange(PLACES) + LOWEST_PLACE
    away = np.minimum(abs(place + 1), abs(place - 5))
    major = np.where((place >= -1) & (place <= 5), 0, -2.5 - 0.6 * away)
    away = np.minimum(abs(place + 4), abs(place - 5))
    minor = np.where((place >= -4) & (place <= 2), 0, -2.5 - 0.6 * away)
    minor[np.isin(place, (3, 5))] = -1.0
    major[np.isin(place, (0, 1))] += 0.5
    major[place == 4] += 0.3
    minor[np.isin(place, (0, 1))] += 0.5
    minor[place == -3] += 0.3
    name = np.arange(NAMES) + LOWEST_NAME
    names = -0.15 * np.maximum(0, np.maximum(-5 - name, name - 9))
    rows = np.zeros((len(MOVES) + len(ROLES)) * PLACES)
    steps = [-d - 3.0 * (d > 0 or m in (1, 2)) for m in range(4) for d in range(FARTHEST + 1)]
    return np.concatenate([major, minor, names, rows, steps, [1.0, 0.1]])


def emissions(weights: Array) -> Array:
    """Return the log odds of (state, class, place)."""
    modes, names = part(weights, "modes"), part(weights, "names")
    moves, roles = part(weights, "moves"), part(weights, "roles")
    table = (
        modes[MODE][:, None, None, :] + moves[None, :, None, :] + roles[None, None, :, :]
        + names[NAME_AT][:, None, None, :]
    )  # fmt: skip
    return np.ascontiguousarray(table.reshape(len(STATES), -1, PLACES))


def chances(weights: Array) -> Array:
    """Return the chance of going from state to state."""
    raw = np.exp(part(weights, "changes")[CHANGE])
    return np.asarray(raw / raw.sum(1, keepdims=True))


@numba.njit(cache=True, fastmath=True)  # type: ignore[untyped-decorator]
def _passes(says, steps):  # type: ignore[no-untyped-def]
    """Return log likelihood, scaled forward and backward odds, scaled evidence and scales."""
    n, states = says.shape
    heard, ahead = np.empty((n, states)), np.empty((n, states))
    behind, scale, total = np.ones((n, states)), np.empty(n), 0.0
    for t in range(n):
        most = says[t].max()
        heard[t] = np.exp(says[t] - most)
        ahead[t] = heard[t] if t == 0 else (ahead[t - 1] @ steps) * heard[t]
        scale[t] = ahead[t].sum()
        ahead[t] /= scale[t]
        total += most + np.log(scale[t])
    for t in range(n - 2, -1, -1):
        behind[t] = steps @ (heard[t + 1] * behind[t + 1]) / scale[t + 1]
    return total, ahead, behind, heard, scale


@numba.njit(cache=True, fastmath=True)  # type: ignore[untyped-decorator]
def _gradient(table, steps, pull, signs, letters, counts, starts, tonics, lowest):  # type: ignore[no-untyped-def]
    """Return the loss of a score and its gradients: table, changes of state, states at chords.

    The loss is the log likelihood of the pitches less that of pitches and letters.
    """
    states, classes, places = table.shape
    n, raw = starts.shape[0] - 1, np.exp(table)
    sums = np.zeros((states, 12 * classes))
    used = np.zeros(12 * classes, numba.boolean)
    for sign in signs:
        used[sign] = True
    for sign in range(12 * classes):
        if used[sign]:
            for s in range(states):
                for p in range(places):
                    if ((p + lowest + tonics[s]) * 7) % 12 == sign % 12:
                        sums[s, sign] += raw[s, sign // 12, p]
    logs = np.log(sums + 1e-300)
    free, fixed = pull.copy(), pull.copy()
    for t in range(n):
        for i in range(starts[t], starts[t + 1]):
            for s in range(states):
                said = logs[s, signs[i]]
                p = min(max(letters[i] - tonics[s] - lowest, 0), places - 1)
                beyond = abs(letters[i] - tonics[s] - lowest - p)
                free[t, s] += counts[i] * said
                fixed[t, s] += (counts[i] - 1) * said + table[s, signs[i] // 12, p] - 3 * beyond
    by_table, by_step = np.zeros(table.shape), np.zeros((states, states))
    by_state, by_sum = np.zeros((n, states)), np.zeros((states, 12 * classes))
    loss = 0.0
    for known in range(2):
        side = -1.0 if known else 1.0
        total, ahead, behind, heard, scale = _passes(fixed if known else free, steps)
        loss += side * total
        for t in range(1, n):
            coming = heard[t] * behind[t] / scale[t]
            for s in range(states):
                odds = ahead[t - 1, s] * side
                if abs(odds) > 1e-7:
                    for other in range(states):
                        by_step[s, other] += odds * coming[other]
        for t in range(n):
            for s in range(states):
                odds = ahead[t, s] * behind[t, s]
                if odds < 1e-7:
                    continue
                by_state[t, s] += side * odds
                for i in range(starts[t], starts[t + 1]):
                    if known:
                        p = min(max(letters[i] - tonics[s] - lowest, 0), places - 1)
                        by_sum[s, signs[i]] -= odds * (counts[i] - 1)
                        by_table[s, signs[i] // 12, p] -= odds
                    else:
                        by_sum[s, signs[i]] += odds * counts[i]
    for sign in range(12 * classes):
        if used[sign]:
            for s in range(states):
                for p in range(places):
                    if ((p + lowest + tonics[s]) * 7) % 12 == sign % 12:
                        share = raw[s, sign // 12, p] / sums[s, sign]
                        by_table[s, sign // 12, p] += by_sum[s, sign] * share
    return loss, by_table, by_step * steps, by_state


def loss(weights: Array, taught: Sequence[tuple[Heard, float]]) -> tuple[float, Array]:
    """Return the loss of weights on scores with their importance, and its gradient."""
    table, steps, pulls = emissions(weights), chances(weights), part(weights, "pulls")
    total, by_table, by_step = 0.0, np.zeros_like(table), np.zeros_like(steps)
    by_pull = np.zeros(2)
    for heard, counts in taught:
        away = abs(SIGNS[None, :] - heard.near[:, None]).astype(float)
        pull = -abs(pulls[1]) * away - TWIN_COST * np.maximum(0, away - TWIN)
        pull[0] -= abs(pulls[0]) * away[0]
        one, of_table, of_step, of_state = _gradient(
            table, steps, pull, heard.signs, heard.letters, heard.counts, heard.starts, TONICS,
            LOWEST_PLACE,
        )  # fmt: skip
        total += counts * one
        by_table += counts * of_table
        by_step += counts * of_step
        by_pull -= counts * np.sign(pulls) * (of_state[0] @ away[0], (of_state * away).sum())
    by_step -= steps * by_step.sum(1, keepdims=True)
    per_place = by_table.sum(1)
    by_class = by_table.reshape(len(STATES), len(MOVES), len(ROLES), PLACES)
    gradient = np.concatenate([
        *(per_place[mode == MODE].sum(0) for mode in range(2)),
        np.bincount(NAME_AT.ravel(), weights=per_place.ravel(), minlength=NAMES),
        by_class.sum((0, 2)).ravel(), by_class.sum((0, 1)).ravel(),
        np.bincount(CHANGE.ravel(), weights=by_step.ravel(), minlength=4 * (FARTHEST + 1)),
        by_pull,
    ])  # fmt: skip
    prior = np.full(weights.shape, PRIOR)
    rows = slice(2 * PLACES, 2 * PLACES + NAMES + (len(MOVES) + len(ROLES)) * PLACES)
    prior[rows] = PRIOR_ROWS
    off = weights - first_guess()
    return float(total + (prior * off**2).sum()), gradient + 2 * prior * off


def fit(lessons: Sequence[Score], rounds: int) -> Array:
    """Return the weights that scores teach."""
    seen: Counter[str] = Counter()
    taken = []
    for score in lessons:
        seen[score.composer] += 1
        if seen[score.composer] <= MOST_SCORES.get(score.composer, len(lessons)):
            taken.append((score.composer, hear(score)))
    notes: Counter[str] = Counter()
    for composer, heard in taken:
        notes[composer] += len(heard.signs)
    worth = np.array([notes[composer] ** -0.5 for composer, _ in taken])
    taught = list(zip([heard for _, heard in taken], worth / worth.mean(), strict=True))
    found = minimize(
        loss, first_guess(), (taught,), jac=True, method="L-BFGS-B", options={"maxiter": rounds}
    )
    print(f"{len(taught)} scores, {sum(notes.values())} notes, loss {found.fun:.1f}", flush=True)
    return np.asarray(found.x)


def as_table(weights: Array) -> dict[str, Any]:
    """Return weights as the file holds them, in hundredths."""

    def row(values: Array) -> list[int]:
        return [round(100 * float(value)) for value in values]

    changes = part(weights, "changes").reshape(2, 2, FARTHEST + 1)
    start, pull = row(abs(part(weights, "pulls")))
    return {
        "modes": {name: row(part(weights, "modes")[n]) for n, name in enumerate(MODES)},
        "names": row(part(weights, "names")),
        "moves": {name: row(part(weights, "moves")[n]) for n, name in enumerate(MOVES)},
        "roles": {name: row(part(weights, "roles")[n]) for n, name in enumerate(ROLES)},
        "changes": {
            f"{old}>{new}": row(changes[i, j])
            for i, old in enumerate(MODES)
            for j, new in enumerate(MODES)
        },
        "start": start,
        "pull": pull,
    }


def main() -> None:
    """Fit the table that ships, or one for each fold."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folds", type=Path, help="write a table for each fold here")
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    asked = parser.parse_args()
    known = scores()
    if asked.folds is None:
        write(TABLE, fit(known, asked.rounds))
        return
    asked.folds.mkdir(parents=True, exist_ok=True)
    for number in range(len(FOLDS)):
        others = [score for score in known if fold_of(score.composer) != number]
        write(asked.folds / f"{number}.json", fit(others, asked.rounds))


def write(path: Path, weights: Array) -> None:
    """Write a table, one row a line."""
    text = json.dumps(as_table(weights), indent=1)
    lines = [line.strip() for line in text.splitlines()]
    path.write_text("".join(line + ("\n" if line.endswith("],") else "") for line in lines) + "\n")


if __name__ == "__main__":
    main()
