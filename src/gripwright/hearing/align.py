"""Align expected chords with strokes: exact dynamic programming over the graph of runs.

A chord starts at a stroke and lasts until the next chord's stroke. A path earns, for each
stroke, how well the stroke fits the chord it falls in, and pays for lengths that depart from
the tempo, for a chord whose own stroke is missing, and for leaving the order of the runs.
Strokes before, between and after runs may belong to nothing (talk, a count-in). Semi-Markov
alignment after Ney's "level building"; the band limits how far back a chord may have started.

An hour has thousands of strokes and of chords, but few different chords: rewards are kept by
kind of chord, scores for as many strokes as the band looks back, and of each step only where it
came from, in a few bytes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

JUMP = 11.0
GAP = 3.0
BROKEN = 14.0
MISSED = 6.0
_NONE = -1e9
_OUT_OF_GAP, _NEXT, _MISSING, _JUMPED = range(4)  # how a chord was come to


@dataclass(frozen=True, slots=True, eq=False)
class Score:
    """Chords in a row: length in quarters, run, and whether each opens or closes its run."""

    lengths: Floats
    runs: Ints

    @property
    def opens(self) -> NDArray[np.bool_]:
        """Return which chords are the first of their run."""
        return np.concatenate([[True], self.runs[1:] != self.runs[:-1]])

    @property
    def closes(self) -> NDArray[np.bool_]:
        """Return which chords are the last of their run."""
        return np.concatenate([self.runs[1:] != self.runs[:-1], [True]])


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """What was played: chord numbers in order, the stroke of each (-1: none of its own)."""

    score: float
    chords: tuple[int, ...]
    strokes: tuple[int, ...]


def lateness(ratio_log: Floats, width: float) -> Floats:
    """Return the reward, at most 0, of a length whose log ratio to the expected is given."""
    return -np.minimum(0.5 * (ratio_log / width) ** 2, 10.0)


class _Lattice:
    """Scores of the last strokes, and how each chord was come to at each stroke.

    ``lifted`` holds the best score of a path on which chord j starts at stroke i, less what
    chord j has earned by strokes before i: what it has earned by a later one is then a sum.
    """

    def __init__(self, strokes: int, chords: int, band: int | None) -> None:
        self.band = band or strokes + 1
        self.lifted = np.full((min(4 * self.band, strokes + 1) + 1, chords), _NONE)
        self.filled = 0
        self.back = np.zeros((strokes + 1, chords), np.int32 if band is None else np.uint8)
        self.how = np.zeros((strokes + 1, chords), np.uint8)
        self.leaving = np.full(strokes + 1, -1, np.int32)  # the chord that a jump came from
        self.gap = np.zeros(strokes + 1)
        self.gap_from = np.full((strokes + 1, 2), -1, np.int32)  # (stroke, chord) that ended

    def append(self, row: Floats) -> None:
        """Add the scores of the next stroke; what the band no longer sees is let go."""
        if self.filled == len(self.lifted):
            self.lifted[: self.band] = self.lifted[self.filled - self.band : self.filled]
            self.filled = self.band
        self.lifted[self.filled] = row
        self.filled += 1

    def seen(self, count: int) -> Floats:
        """Return the last ``count`` rows."""
        return self.lifted[self.filled - count : self.filled]


@dataclass(frozen=True, slots=True, eq=False)
class _Kinds:
    """Chords by kind: the column of each, what each has earned by each stroke, its length."""

    column: Ints
    earned: Floats
    lengths: Floats
    length_of: Ints
    pairs: Floats
    pair_of: Ints


def align(
    fit: Floats, times_s: Floats, score: Score, quarter_s: Floats, *,
    width: float = 0.12, band: int | None = 48, entry: Floats | None = None,
    kinds: Ints | None = None,
) -> Path:  # fmt: skip
    """Return the best path.

    ``fit`` [strokes, kinds] is the reward of a stroke inside a chord of a kind, ``kinds``
    [chords] the kind of each chord (each its own where it is None); ``entry`` [strokes, kinds]
    the reward of a chord that starts there; ``times_s`` [strokes + 1] ends with the end of the
    sound; ``quarter_s`` [strokes + 1] is the expected length of a quarter at each stroke.
    ``band`` is the most strokes a chord may hold, at most 255, None for no limit.
    """
    count, chords = len(fit), len(score.lengths)
    column = np.arange(chords) if kinds is None else kinds
    known = _kinds(fit, column, score)
    lattice = _Lattice(count, chords, band)
    opens, closes = score.opens, score.closes
    enter = np.zeros_like(fit) if entry is None else entry
    begin_cost = np.where(opens, JUMP, BROKEN)
    begin_cost[0] = 0.0
    for i in range(count + 1):
        low = 0 if band is None else max(0, i - band)
        ended = _ended(lattice, known, times_s, quarter_s, i, low, width)
        _enter_gap(lattice, known, times_s, score, quarter_s, i, low, closes)
        if i < count:
            row = _enter_chords(lattice, ended, i, opens, closes, begin_cost)
            lattice.append(row + (enter[i] - known.earned[i])[column])
    return _traced(lattice, known, count, band)


def _kinds(fit: Floats, column: Ints, score: Score) -> _Kinds:
    earned = np.concatenate([np.zeros((1, fit.shape[1])), np.cumsum(fit, axis=0)])
    lengths, length_of = np.unique(np.log(score.lengths), return_inverse=True)
    both = np.log(score.lengths[:-1] + score.lengths[1:]) if len(column) > 1 else np.zeros(0)
    pairs, pair_of = np.unique(both, return_inverse=True)
    return _Kinds(column, earned, lengths, length_of, pairs, pair_of)


def _ended(
    lattice: _Lattice, known: _Kinds, times_s: Floats, quarter_s: Floats, i: int, low: int,
    width: float,
) -> tuple[Floats, Ints, Floats, Ints]:  # fmt: skip
    """Return for each chord the best score when it ends at stroke i, and where it started.

    The second pair is for a chord together with the next one, whose stroke is missing.
    """
    chords = len(known.column)
    if low == i:
        none, zero = np.full(chords, _NONE), np.zeros(chords, np.int64)
        return none, zero, none[1:], zero[1:]
    earned = known.earned[i][known.column]
    seen = lattice.seen(i - low)
    spent = np.log((times_s[i] - times_s[low:i]) / quarter_s[low:i])[:, None]
    columns = np.arange(chords)
    single = seen + lateness(spent - known.lengths, width)[:, known.length_of]
    rows = single.argmax(axis=0)
    best = single[rows, columns] + earned
    if chords == 1:
        return best, rows + low, np.zeros(0), np.zeros(0, np.int64)
    double = seen[:, :-1] + lateness(spent - known.pairs, width)[:, known.pair_of]
    pairs = double.argmax(axis=0)
    both = double[pairs, columns[:-1]] + earned[:-1] - MISSED
    return best, rows + low, both, pairs + low


def _enter_gap(
    lattice: _Lattice, known: _Kinds, times_s: Floats, score: Score, quarter_s: Floats, i: int,
    low: int, closes: NDArray[np.bool_],
) -> None:  # fmt: skip
    """Let the last chord of a run ring out into a gap, or a gap go on over a stroke."""
    if i == 0:
        return
    lattice.gap[i] = lattice.gap[i - 1]
    lattice.gap_from[i] = lattice.gap_from[i - 1]
    if low == i:
        return
    last = np.flatnonzero(closes)
    spent = (times_s[i] - times_s[low:i])[:, None] / quarter_s[low:i, None]
    short = np.log(np.minimum(spent / score.lengths[last], 1.0) + 1e-9)
    out = lattice.seen(i - low)[:, last] + known.earned[i][known.column[last]]
    out = out + lateness(short, 0.3) - GAP
    best = int(out.argmax())
    row, column = divmod(best, len(last))
    if out[row, column] > lattice.gap[i]:
        lattice.gap[i] = out[row, column]
        lattice.gap_from[i] = (row + low, last[column])


def _enter_chords(
    lattice: _Lattice, ended: tuple[Floats, Ints, Floats, Ints], i: int,
    opens: NDArray[np.bool_], closes: NDArray[np.bool_], begin_cost: Floats,
) -> Floats:  # fmt: skip
    """Start chords at stroke i: in order, after a missed one, by a jump, or out of a gap.

    Returns their scores.
    """
    single, rows, double, pairs = ended
    best: Floats = lattice.gap[i] - begin_cost
    how, back = lattice.how[i], lattice.back[i]

    def offer(targets: Ints, value: Floats, stroke: Ints, kind: int) -> None:
        better = value > best[targets]
        where = targets[better]
        best[where] = value[better]
        back[where], how[where] = i - stroke[better], kind

    ordinal = np.arange(len(best))
    offer(ordinal[1:], single[:-1], rows[:-1], _NEXT)
    if len(double) > 1:
        offer(ordinal[2:], double[:-1], pairs[:-1], _MISSING)
    last = np.flatnonzero(closes)
    leaving = last[int(single[last].argmax())]
    lattice.leaving[i] = leaving
    first = np.flatnonzero(opens)
    size = len(first)
    offer(first, np.full(size, single[leaving] - JUMP), np.full(size, rows[leaving]), _JUMPED)
    return best


def _traced(lattice: _Lattice, known: _Kinds, count: int, band: int | None) -> Path:
    """Return the best path to the end of the sound."""
    low = 0 if band is None else max(0, count - band)
    broken = lattice.seen(count - low) + known.earned[count][known.column] - BROKEN
    best = float(lattice.gap[count])
    if broken.size and broken.max() > best:
        best = float(broken.max())
        row, j = divmod(int(broken.argmax()), len(known.column))
        i = row + low
    else:
        i, j = (int(v) for v in lattice.gap_from[count])
    chords: list[int] = []
    strokes: list[int] = []
    while j >= 0:
        chords.append(j)
        strokes.append(i)
        how = int(lattice.how[i, j])
        if how == _OUT_OF_GAP:
            i, j = (int(v) for v in lattice.gap_from[i])
            continue
        if how == _MISSING:
            chords.append(j - 1)
            strokes.append(-1)
        before = int(lattice.leaving[i]) if how == _JUMPED else j - how
        i, j = i - int(lattice.back[i, j]), before
    return Path(best, tuple(reversed(chords)), tuple(reversed(strokes)))
