"""Align expected chords with strokes: exact dynamic programming over the graph of runs.

A chord starts at a stroke and lasts until the next chord's stroke. A path earns, for each
stroke, how well the stroke fits the chord it falls in, and pays for lengths that depart from
the tempo, for a chord whose own stroke is missing, and for leaving the order of the runs.
Strokes before, between and after runs may belong to nothing (talk, a count-in). Semi-Markov
alignment after Ney's "level building"; the band limits how far back a chord may have started.
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
    """Scores and back pointers: S[i, j] is the best path on which chord j starts at stroke i."""

    def __init__(self, strokes: int, chords: int) -> None:
        self.start = np.full((strokes + 1, chords), _NONE)
        self.from_stroke = np.full((strokes + 1, chords), -1, np.int32)
        self.from_chord = np.full((strokes + 1, chords), -1, np.int32)
        self.gap = np.zeros(strokes + 1)
        self.gap_from = np.full((strokes + 1, 2), -1, np.int32)  # (stroke, chord) that ended


def align(
    fit: Floats, times_s: Floats, score: Score, quarter_s: Floats, *,
    width: float = 0.12, band: int | None = 48, entry: Floats | None = None,
) -> Path:  # fmt: skip
    """Return the best path.

    ``fit`` [strokes, chords] is the reward of a stroke inside a chord; ``entry`` the reward of a
    chord that starts there; ``times_s`` [strokes + 1] ends with the end of the sound;
    ``quarter_s`` [strokes + 1] is the expected length of a quarter at each stroke. ``band`` is
    the most strokes a chord may hold, None for no limit.
    """
    count, chords = fit.shape
    total = np.concatenate([np.zeros((1, chords)), np.cumsum(fit, axis=0)])
    lattice = _Lattice(count, chords)
    log_length = np.log(score.lengths)
    pair_length = np.log(score.lengths[:-1] + score.lengths[1:]) if chords > 1 else np.zeros(0)
    opens, closes = score.opens, score.closes
    enter = np.zeros((count, chords)) if entry is None else entry
    begin_cost = np.where(opens, JUMP, BROKEN)
    begin_cost[0] = 0.0
    for i in range(count + 1):
        low = 0 if band is None else max(0, i - band)
        ended = _ended(lattice, total, times_s, log_length, pair_length, quarter_s, i, low, width)
        _enter_gap(lattice, total, times_s, score, quarter_s, i, low, closes)
        if i < count:
            _enter_chords(lattice, ended, enter[i], i, opens, closes, begin_cost)
    return _traced(lattice, total, times_s, score, quarter_s, count, band, width)


def _ended(
    lattice: _Lattice, total: Floats, times_s: Floats, log_length: Floats, pair_length: Floats,
    quarter_s: Floats, i: int, low: int, width: float,
) -> tuple[Floats, Ints, Floats, Ints]:  # fmt: skip
    """Return for each chord the best score when it ends at stroke i, and where it started.

    The second pair is for a chord together with the next one, whose stroke is missing.
    """
    chords = len(log_length)
    if low == i:
        none, zero = np.full(chords, _NONE), np.zeros(chords, np.int64)
        return none, zero, none[1:], zero[1:]
    base = lattice.start[low:i] + (total[i] - total[low:i])
    spent = np.log((times_s[i] - times_s[low:i]) / quarter_s[low:i])[:, None]
    single = base + lateness(spent - log_length, width)
    rows = single.argmax(axis=0)
    columns = np.arange(chords)
    if chords == 1:
        return single[rows, columns], rows + low, np.zeros(0), np.zeros(0, np.int64)
    double = base[:, :-1] + lateness(spent - pair_length, width) - MISSED
    pairs = double.argmax(axis=0)
    return single[rows, columns], rows + low, double[pairs, columns[:-1]], pairs + low


def _enter_gap(
    lattice: _Lattice, total: Floats, times_s: Floats, score: Score, quarter_s: Floats, i: int,
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
    out = lattice.start[low:i][:, last] + (total[i] - total[low:i])[:, last]
    out = out + lateness(short, 0.3) - GAP
    best = int(out.argmax())
    row, column = divmod(best, len(last))
    if out[row, column] > lattice.gap[i]:
        lattice.gap[i] = out[row, column]
        lattice.gap_from[i] = (row + low, last[column])


def _enter_chords(
    lattice: _Lattice, ended: tuple[Floats, Ints, Floats, Ints], enter: Floats, i: int,
    opens: NDArray[np.bool_], closes: NDArray[np.bool_], begin_cost: Floats,
) -> None:  # fmt: skip
    """Start chords at stroke i: in order, after a missed one, by a jump, or out of a gap."""
    single, rows, double, pairs = ended
    best = lattice.gap[i] - begin_cost
    from_stroke = np.full(len(best), -1, np.int64)
    from_chord = np.full(len(best), -1, np.int64)
    ordinal = np.arange(len(best))

    def offer(targets: Ints, value: Floats, stroke: Ints, chord: Ints) -> None:
        better = value > best[targets]
        where = targets[better]
        best[where] = value[better]
        from_stroke[where], from_chord[where] = stroke[better], chord[better]

    offer(ordinal[1:], single[:-1], rows[:-1], ordinal[:-1])
    if len(double) > 1:
        offer(ordinal[2:], double[:-1], pairs[:-1], ordinal[:-2])
    last = np.flatnonzero(closes)
    leaving = last[int(single[last].argmax())]
    first = np.flatnonzero(opens)
    size = len(first)
    offer(first, np.full(size, single[leaving] - JUMP), np.full(size, rows[leaving]),
          np.full(size, leaving))  # fmt: skip
    lattice.start[i] = best + enter
    lattice.from_stroke[i], lattice.from_chord[i] = from_stroke, from_chord


def _traced(
    lattice: _Lattice, total: Floats, times_s: Floats, score: Score, quarter_s: Floats,
    count: int, band: int | None, width: float,
) -> Path:  # fmt: skip
    """Return the best path to the end of the sound."""
    low = 0 if band is None else max(0, count - band)
    broken = lattice.start[low:count] + (total[count] - total[low:count]) - BROKEN
    i, j = count, -1
    best = float(lattice.gap[count])
    if broken.size and broken.max() > best:
        best = float(broken.max())
        row, j = divmod(int(broken.argmax()), total.shape[1])
        i = row + low
    else:
        i, j = (int(v) for v in lattice.gap_from[count])
    chords: list[int] = []
    strokes: list[int] = []
    while j >= 0:
        chords.append(j)
        strokes.append(i)
        before_i, before_j = int(lattice.from_stroke[i, j]), int(lattice.from_chord[i, j])
        if before_j < 0:
            before_i, before_j = (int(v) for v in lattice.gap_from[i])
        elif before_j == j - 2:
            closes = score.closes
            jump = closes[before_j] and score.opens[j]
            if not jump:
                chords.append(j - 1)
                strokes.append(-1)
        i, j = before_i, before_j
    return Path(best, tuple(reversed(chords)), tuple(reversed(strokes)))
