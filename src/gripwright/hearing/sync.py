"""Find where each event of a chart falls in a take.

Strokes are found and heard first (`strokes`), then aligned with the expected chords (`align`):
once at several speeds, then again along the tempo that the best of them showed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gripwright.errors import InputError
from gripwright.hearing.align import Ints, Path, Score, align
from gripwright.hearing.chart import Chart, Expected, chart_of
from gripwright.hearing.laid import (
    Placed,
    Rewards,
    SyncedEvent,
    departures,
    events_of,
    stretches_of,
)
from gripwright.hearing.sound import Heard
from gripwright.hearing.strokes import Stroked, listen, pitch_places
from gripwright.lesson.model import Lesson
from gripwright.timing import TempoMap

Floats = NDArray[np.float64]

SPEEDS = (0.5, 0.6, 0.72, 0.86, 1.0, 1.18, 1.4)
_GENEROUS = 6.5
_CLIP = 7.0
_ABSENT = 0.4
_WIDE, _NARROW = 0.22, 0.11
_LEAST_FIT = 0.5
_LISTENED = 0.5  # the share of the work when the strokes are heard
_NARROWED = 2  # times that the best path is laid again along its own tempo
_FULL, _LONE = 3, 0.9  # strings of a whole stroke; the force that a lone string is granted


@dataclass(frozen=True, slots=True)
class Synced:
    """A chart laid on a take.

    ``order`` names the parts as played, with the second where each starts; ``skipped`` and
    ``repeated`` say how that departs from the lesson. ``knots`` are (played quarters along
    the order as played, second).
    """

    events: tuple[SyncedEvent, ...]
    order: tuple[tuple[str, float], ...]
    skipped: tuple[str, ...]
    repeated: tuple[str, ...]
    tempo_bpm: float
    tuning_cents: float
    fit: float
    knots: tuple[tuple[Fraction, float], ...]

    def tempo_map(self) -> TempoMap:
        """Return the road from quarters, as played in this take, to its seconds."""
        return TempoMap(self.knots)


def sync(
    lesson: Lesson, heard: Heard, *, plain: bool = False,
    told: Callable[[float], None] = lambda share: None,
) -> tuple[Synced, Stroked]:  # fmt: skip
    """Lay a lesson on a take; return that and the strokes that were heard.

    ``told`` hears which share is done, 0 to 1. Raises InputError where the two do not
    match, with the evidence.
    """
    chart = chart_of(lesson)
    stroked = listen(heard, plain=plain, told=lambda share: told(_LISTENED * share))
    if len(stroked.strokes) < 2:
        raise _mismatch("fewer than two strokes can be heard in it")
    kinds = kinds_of(chart)
    table, entry = fits(kinds, stroked), entries(kinds, stroked)
    path, quarter_s = _best_path(
        chart, lesson, stroked, kinds, table, entry,
        lambda share: told(_LISTENED + (1 - _LISTENED) * share),
    )  # fmt: skip
    return _result(chart, lesson, stroked, Rewards(table, kinds.column), path, quarter_s), stroked


@dataclass(frozen=True, slots=True, eq=False)
class Kinds:
    """The chords of a chart that are expected alike, one for all: ``column`` is each one's."""

    expected: tuple[Expected, ...]
    column: Ints


def kinds_of(chart: Chart) -> Kinds:
    """Return the kinds of the chords of a chart, in the order in which they first come."""
    number: dict[tuple[object, ...], int] = {}
    first: list[Expected] = []
    column = np.empty(len(chart.expected), np.int64)
    for place, one in enumerate(chart.expected):
        key = (one.midi, one.share, one.also, one.exact, one.first)
        if key not in number:
            number[key] = len(first)
            first.append(one)
        column[place] = number[key]
    return Kinds(tuple(first), column)


def fits(kinds: Kinds, stroked: Stroked) -> Floats:
    """Return the reward of each stroke under each kind of chord, 0 for a stranger's."""
    logits = np.clip(stroked.sounding, -_CLIP, _CLIP).astype(np.float64)
    positive, negative = np.maximum(logits, 0), np.maximum(-logits, 0)
    columns = [_fit_of(one, one.share, positive, negative) for one in kinds.expected]
    return np.stack(columns, axis=1)


def _fit_of(
    expected: Expected, share: tuple[float, ...], positive: Floats, negative: Floats
) -> Floats:
    """Return the reward of each stroke; ``share`` is how far each pitch is missed."""
    if not expected.midi:
        return np.zeros(len(positive))
    if not expected.exact:
        return _fit_by_class(expected.midi, positive)
    allowed = pitch_places((*expected.midi, *expected.also))
    weights = np.zeros(positive.shape[1])
    for midi, part in zip(expected.midi, share, strict=True):
        weights[pitch_places((midi,))] = part
    present = positive[:, allowed].sum(axis=1)
    extra = positive.sum(axis=1) - present
    missing = negative @ weights
    heard = np.minimum(present / 4.0, 2.0)
    return np.asarray(np.maximum(_GENEROUS - extra - _ABSENT * missing, -8.0) + heard - 2.0)


def _fit_by_class(midi: tuple[int, ...], positive: Floats) -> Floats:
    """Return the reward where only the symbol is known: any octave of its notes will do."""
    classes = {m % 12 for m in midi}
    inside = np.array([(33 + p) % 12 in classes for p in range(positive.shape[1])])
    extra = positive[:, ~inside].sum(axis=1)
    present = positive[:, inside].sum(axis=1)
    return np.asarray(np.maximum(_GENEROUS - extra, -8.0) + np.minimum(present / 4.0, 2.0) - 2.0)


def entries(kinds: Kinds, stroked: Stroked) -> Floats:
    """Return the reward for a kind of chord to start at a stroke: its strings were struck then.

    What its later strokes strike is not missed yet.
    """
    struck = 1 / (1 + np.exp(-np.clip(stroked.struck, -20, 20).astype(np.float64)))
    strength = np.minimum(stroked.strokes.strength / np.median(stroked.strokes.strength), 1.5)
    logits = np.clip(stroked.sounding, -_CLIP, _CLIP).astype(np.float64)
    positive, negative = np.maximum(logits, 0), np.maximum(-logits, 0)
    out = np.empty((len(struck), len(kinds.expected)))
    for column, expected in enumerate(kinds.expected):
        first = expected.first
        wanted = float(min(max(len(first), 1), _FULL))
        hits = struck[:, pitch_places(first)].sum(axis=1)
        force = strength if wanted == _FULL else np.maximum(strength, _LONE)
        out[:, column] = 2.5 * np.minimum(hits, wanted) / wanted + force - 3.0
        if expected.exact and set(first) != set(expected.midi):
            now = tuple(float(midi in first) for midi in expected.midi)
            out[:, column] += _fit_of(expected, now, positive, negative)
            out[:, column] -= _fit_of(expected, expected.share, positive, negative)
    return out


def _best_path(
    chart: Chart, lesson: Lesson, stroked: Stroked, kinds: Kinds, fit: Floats, entry: Floats,
    told: Callable[[float], None],
) -> tuple[Path, Floats]:  # fmt: skip
    score = Score(
        np.array([float(e.length) for e in chart.expected]),
        np.array([e.run for e in chart.expected]),
    )
    times = np.append(stroked.strokes.first_s, stroked.duration_s)
    written = 60 / float(lesson.tempo_bpm) / float(lesson.metre.beats[0])
    best: tuple[Path, Floats] | None = None
    tries = len(SPEEDS) + _NARROWED
    for number, speed in enumerate(SPEEDS, 1):
        quarter_s = np.full(len(times), written / speed)
        path = align(fit, times, score, quarter_s, width=_WIDE, entry=entry, kinds=kinds.column)
        if best is None or path.score > best[0].score:
            best = path, quarter_s
        told(number / tries)
    assert best is not None
    for number in range(len(SPEEDS) + 1, tries + 1):
        quarter_s = _local_quarters(best[0], score, times, best[1])
        path = align(fit, times, score, quarter_s, width=_NARROW, entry=entry, kinds=kinds.column)
        best = path, quarter_s
        told(number / tries)
    return best


def _local_quarters(path: Path, score: Score, times: Floats, before: Floats) -> Floats:
    """Return the length of a quarter about each stroke, as the path showed it."""
    seconds, lengths, middles = [], [], []
    places = [(c, s) for c, s in zip(path.chords, path.strokes, strict=True) if s >= 0]
    for (chord, stroke), (next_chord, next_stroke) in pairwise(places):
        if not chord < next_chord <= chord + 2:
            continue
        quarters = float(score.lengths[chord:next_chord].sum())
        span = float(times[next_stroke] - times[stroke])
        if 0.4 < span / (quarters * before[stroke]) < 2.5:
            seconds.append(span)
            lengths.append(quarters)
            middles.append(0.5 * (times[stroke] + times[next_stroke]))
    if not seconds:
        return before
    at, spans, spread = np.array(middles), np.array(seconds), np.array(lengths)
    out = np.empty(len(times))
    for index, time in enumerate(times):
        weight = np.exp(-0.5 * ((at - time) / 6.0) ** 2) + 1e-6
        out[index] = (weight * spans).sum() / (weight * spread).sum()
    return out


def _result(
    chart: Chart, lesson: Lesson, stroked: Stroked, fit: Rewards, path: Path, quarter_s: Floats
) -> Synced:
    if not path.chords:
        raise _mismatch("no stretch of it fits the chart better than chance")
    quality = _quality(fit, path)
    if quality < _LEAST_FIT:
        raise _mismatch(
            f"of the strokes that would have to be the chart's, {100 * quality:.0f} % sound like "
            "its chords"
        )
    placed = _placed(chart, stroked, path, quarter_s)
    knots = _knots(chart, placed)
    stretches = stretches_of(chart, placed)
    events = events_of(chart, stroked, fit, stretches, knots, quarter_s)
    order = tuple((chart.runs[stretch.run], stretch.items[0].start_s) for stretch in stretches)
    skipped, repeated = departures(chart, [stretch.run for stretch in stretches])
    steps = [b[1] - a[1] for a, b in pairwise(knots)]
    quarters = [float(b[0] - a[0]) for a, b in pairwise(knots)]
    beat = float(lesson.metre.beats[0])
    tempo = 60 / (float(np.median(np.array(steps) / np.array(quarters))) * beat)
    return Synced(events, order, skipped, repeated, tempo, stroked.tuning_cents, quality, knots)


def _quality(fit: Rewards, path: Path) -> float:
    """Return the share of strokes inside the aligned chords that fit them."""
    good = whole = 0
    for place, (chord, stroke) in enumerate(zip(path.chords, path.strokes, strict=True)):
        if stroke < 0:
            continue
        later = [s for s in path.strokes[place + 1 :] if s >= 0]
        end = min(later[0] if later else stroke + 1, stroke + 8)
        good += int((fit.of(chord)[stroke:end] > 0).sum())
        whole += end - stroke
    return good / max(whole, 1)


def _placed(chart: Chart, stroked: Stroked, path: Path, quarter_s: Floats) -> list[Placed]:
    """Return the chords of the path, those without a stroke put between their neighbours."""
    first_s = stroked.strokes.first_s
    first = chart.expected[path.chords[0]]
    ats, at = [], max(Fraction(0), first.start - chart.run_starts[first.run])
    for chord in path.chords:
        ats.append(at)
        at += chart.expected[chord].length
    known = [k for k, stroke in enumerate(path.strokes) if stroke >= 0]
    seconds = np.interp(
        [float(a) for a in ats], [float(ats[k]) for k in known],
        [float(first_s[path.strokes[k]]) for k in known],
    )  # fmt: skip
    return [
        Placed(chord, stroke, at, float(first_s[stroke]) if stroke >= 0 else float(second))
        for chord, stroke, at, second in zip(path.chords, path.strokes, ats, seconds, strict=True)
    ]


def _knots(chart: Chart, placed: list[Placed]) -> tuple[tuple[Fraction, float], ...]:
    """Return rising knots at the strokes found, with one after the last by the tempo there."""
    knots: list[tuple[Fraction, float]] = []
    for item in placed:
        if item.stroke >= 0 and (not knots or item.start_s > knots[-1][1] + 1e-3):
            knots.append((item.at, item.start_s))
    if len(knots) < 2:
        raise _mismatch("only one stroke of it fits the chart")
    last = placed[-1]
    slope = (knots[-1][1] - knots[0][1]) / float(knots[-1][0] - knots[0][0])
    length = chart.expected[last.chord].length
    knots.append((last.at + length, max(last.start_s, knots[-1][1]) + slope * float(length)))
    return tuple(knots)


def _mismatch(evidence: str) -> InputError:
    return InputError(
        f"the take does not match the lesson: {evidence}", field="take",
        remedy="check that this is the take of this lesson, and its tuning and capo",
    )  # fmt: skip
