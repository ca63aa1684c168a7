"""From an aligned path to the events of the chart: places, ends, confidence, order of parts."""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gripwright.beats import Quarters
from gripwright.hearing.chart import Chart
from gripwright.hearing.strokes import Stroked
from gripwright.lesson.unroll import Played

Floats = NDArray[np.float64]
Knots = tuple[tuple[Fraction, float], ...]


@dataclass(frozen=True, slots=True)
class SyncedEvent:
    """An event of the chart in the take: ``index`` among the lesson's played events.

    ``start_s`` is when its first string sounds, ``full_s`` when the last string of that stroke
    does; ``found`` is False where no stroke of its own was heard and the place is worked out.
    ``stretch`` counts the parts as played.
    """

    index: int
    stretch: int
    start_s: float
    full_s: float
    end_s: float
    confidence: float
    found: bool


@dataclass(frozen=True, slots=True)
class Placed:
    """An expected chord as played: its quarters along the take, its stroke (or -1), its second."""

    chord: int
    stroke: int
    at: Quarters
    start_s: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run as played, whole or broken off."""

    run: int
    items: tuple[Placed, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Rewards:
    """What each stroke earns under each chord: ``table`` [strokes, kinds], a column a kind."""

    table: Floats
    column: NDArray[np.int64]

    def of(self, chord: int) -> Floats:
        """Return what each stroke earns under a chord of the chart."""
        return self.table[:, self.column[chord]]


def stretches_of(chart: Chart, placed: list[Placed]) -> tuple[Stretch, ...]:
    """Cut a path where it enters a run, or goes back."""
    groups: list[list[Placed]] = []
    for item in placed:
        before = groups[-1][-1] if groups else None
        run = chart.expected[item.chord].run
        if before is None or chart.expected[before.chord].run != run or item.chord <= before.chord:
            groups.append([])
        groups[-1].append(item)
    return tuple(Stretch(chart.expected[g[0].chord].run, tuple(g)) for g in groups)


def events_of(
    chart: Chart, stroked: Stroked, fit: Rewards, stretches: tuple[Stretch, ...], knots: Knots,
    quarter_s: Floats,
) -> tuple[SyncedEvent, ...]:  # fmt: skip
    """Return every event of the chart as often as it was played, in the order of playing."""
    out: list[SyncedEvent] = []
    for number, stretch in enumerate(stretches):
        limit = stretches[number + 1].items[0].start_s if number + 1 < len(stretches) else None
        out += _stretch_events(chart, stroked, fit, number, stretch, knots, limit, quarter_s)
    return tuple(out)


def _stretch_events(
    chart: Chart, stroked: Stroked, fit: Rewards, number: int, stretch: Stretch, knots: Knots,
    limit_s: float | None, quarter_s: Floats,
) -> list[SyncedEvent]:  # fmt: skip
    by_event = {chart.expected[item.chord].index: item for item in stretch.items}
    played = _events_of_run(chart, stretch)
    starts: list[float] = []
    for event in played:
        item = by_event.get(event.index)
        second = (
            item.start_s if item and item.stroke >= 0 else _second(chart, event, stretch, knots)
        )
        starts.append(max(second, starts[-1] + 0.001) if starts else second)
    last = stretch.items[-1]
    quarter = float(quarter_s[last.stroke] if last.stroke >= 0 else np.median(quarter_s))
    tail = starts[-1] + float(played[-1].event.length) * quarter
    end = min(tail, limit_s) if limit_s is not None else min(tail, stroked.duration_s)
    ends = [*starts[1:], max(end, starts[-1] + 0.001)]
    out = []
    for event, start_s, end_s in zip(played, starts, ends, strict=True):
        item = by_event.get(event.index)
        found = item is not None and item.stroke >= 0
        full_s = (
            min(float(stroked.strokes.last_s[item.stroke]), end_s) if item and found else start_s
        )
        sure = confidence(chart, stroked, fit, item, end_s, quarter_s) if item else 0.5
        out.append(SyncedEvent(
            event.index, number, start_s, max(full_s, start_s), end_s, sure, found,
        ))  # fmt: skip
    return out


def _events_of_run(chart: Chart, stretch: Stretch) -> list[Played]:
    """Return the run's events, from its first to its last chord where it was broken off."""
    own = [c for c, e in enumerate(chart.expected) if e.run == stretch.run]
    first, last = stretch.items[0].chord, stretch.items[-1].chord
    low = chart.expected[first].index
    high = chart.expected[last].index
    visit = chart.events[low].where
    whole = [
        e for e in chart.events
        if (e.where.part, e.where.visit) == (visit.part, visit.visit)
    ]  # fmt: skip
    return [
        e for e in whole
        if (e.index >= low or first == own[0]) and (e.index <= high or last == own[-1])
    ]  # fmt: skip


def _second(chart: Chart, event: Played, stretch: Stretch, knots: Knots) -> float:
    """Return where an event without a stroke falls, by the knots about its nearest chord."""
    own = {chart.expected[item.chord].index: chart.expected[item.chord] for item in stretch.items}
    start = own[event.index].start if event.index in own else event.sounds_at
    near = min(stretch.items, key=lambda i: abs(chart.expected[i.chord].start - start))
    at = float(near.at + start - chart.expected[near.chord].start)
    if at < float(knots[0][0]):
        (q0, s0), (q1, s1) = knots[0], knots[1]
        return max(0.0, s0 - (float(q0) - at) * (s1 - s0) / float(q1 - q0))
    return float(np.interp(at, [float(q) for q, _ in knots], [s for _, s in knots]))


def confidence(
    chart: Chart, stroked: Stroked, fit: Rewards, item: Placed, end_s: float, quarter_s: Floats
) -> float:
    """Return how likely the event starts within 50 ms of the place given.

    A logistic curve over how well its strokes fit, and how far its length departs from the
    tempo; fitted on development takes (evaluation/hearing_sync.py prints the calibration).
    """
    if item.stroke < 0:
        return 0.35
    length = float(chart.expected[item.chord].length) * float(quarter_s[item.stroke])
    late = abs(math.log(max(end_s - item.start_s, 1e-3) / length))
    own = float(np.clip(fit.of(item.chord)[item.stroke], -8.0, 6.5))
    return 1 / (1 + math.exp(-(1.9 + 0.22 * own - 3.0 * min(late, 1.0))))


def departures(chart: Chart, played: list[int]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the parts left out and the parts played again, by name.

    Runs that sound the same count as the same.
    """
    sounds = [_sound_of(chart, run) for run in range(len(chart.runs))]
    written, heard = sounds, [sounds[run] for run in played]
    skipped: list[str] = []
    repeated: list[str] = []
    matcher = difflib.SequenceMatcher(None, written, heard, autojunk=False)
    for kind, a, b, c, d in matcher.get_opcodes():
        if kind in ("delete", "replace"):
            skipped += chart.runs[a:b]
        if kind in ("insert", "replace"):
            repeated += [chart.runs[run] for run in played[c:d]]
    return tuple(skipped), tuple(repeated)


def _sound_of(chart: Chart, run: int) -> tuple[tuple[tuple[int, ...], Fraction], ...]:
    own = [e for e in chart.expected if e.run == run]
    gaps = [b.start - a.start for a, b in pairwise(own)]
    return tuple((e.midi, gap) for e, gap in zip(own, [*gaps, Fraction(0)], strict=True))
