"""Beats and downbeats of a take, with the other tempi it may be counted in.

Beats by dynamic programming over an onset curve (Ellis, "Beat tracking by dynamic programming",
JNMR 36(1), 2007), tried from several tempi and their multiples, chosen by `levels`; downbeats
where chords change.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.levels import (
    MIDDLE_BPM,
    THIRDS,
    Pulses,
    bpm_of,
    in_thirds,
    merit,
    nearest,
    pulses_of,
)
from gripwright.hearing.strokes import Stroked

Floats = NDArray[np.float64]

RATE_HZ = 100
_LOOSE, _TIGHT = 2.5, 9.0
_SPREAD_OCTAVES = 0.62
_LOW_BPM, _HIGH_BPM = 48.0, 210.0
_SLOWEST_BPM = 36.0  # of beats found among quicker strokes
_OTHER_OCTAVES, _NEAR_MERIT = 0.2, 2.0


@dataclass(frozen=True, slots=True)
class Beats:
    """Beats in seconds; ``also_bpm`` are the other tempi that fit, likeliest first.

    ``division`` is 3 where each beat falls into thirds, as in 6/8, else 2.
    """

    tempo_bpm: float
    also_bpm: tuple[float, ...]
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]
    beats_a_bar: int
    division: int = 2


def find_beats(stroked: Stroked, changes_s: Floats) -> Beats:
    """Return the beats of the strokes heard; ``changes_s`` are where chords change."""
    pulses = pulses_of(stroked)
    if len(pulses.at) < 3:
        return Beats(0.0, (), (), (), 4)
    tries = _tries(pulses, changes_s, stroked.duration_s)
    if not tries:
        return Beats(0.0, (), (), (), 4)
    beats = _trimmed(_snapped(tries[0][1], pulses.at), pulses.at)
    if len(beats) < 2:
        return Beats(0.0, (), tuple(beats.tolist()), (), 4)
    tempo = bpm_of(beats)
    division = 3 if in_thirds(tries[0][1], pulses.at) > THIRDS else 2
    bar, phase = _bars(beats, changes_s, division)
    also = [bpm for bpm in (tempo * 2, tempo / 2) if 30 <= bpm <= 260]
    also.sort(key=lambda bpm: abs(np.log2(bpm / MIDDLE_BPM)))
    also += _rival(tries) or ([1.5 * tempo] if division == 3 else [])
    downbeats = tuple(beats[phase::bar].tolist())
    return Beats(tempo, tuple(also), tuple(beats.tolist()), downbeats, bar, division)


def _tries(pulses: Pulses, changes_s: Floats, duration_s: float) -> list[tuple[float, Floats]]:
    """Return beats at several tempi with their merit, the best first."""
    curve = _curve(pulses.at, pulses.strength, changes_s, duration_s)
    tries: list[tuple[float, Floats]] = []
    for period in _periods(curve):
        beats = _tracked(curve, np.full(len(curve), period), _LOOSE)
        beats = _tracked(curve, _wandering(beats, period, len(curve)), _TIGHT)
        tries += [(merit(thin, pulses, changes_s), thin) for thin in _thinned(beats)]
    return sorted(tries, key=lambda item: -item[0])


def _rival(tries: list[tuple[float, Floats]]) -> list[float]:
    """Return the tempo, neither double nor half, that fits almost as well as the best, if any.

    Two beats in the time of three: six eighths and three quarters differ in accent only.
    """
    best, chosen = tries[0]
    for worth, beats in tries[1:]:
        octaves = float(np.log2(bpm_of(beats) / bpm_of(chosen)))
        if abs(octaves - round(octaves)) > _OTHER_OCTAVES and worth > best - _NEAR_MERIT:
            return [bpm_of(beats)]
    return []


def _curve(at: Floats, strength: Floats, changes_s: Floats, duration_s: float) -> Floats:
    """Return the onset curve: a bump for each stroke, higher where the chord changes."""
    curve = np.zeros(int(duration_s * RATE_HZ) + 2)
    level = np.minimum(strength / (np.median(strength) + 1e-9), 2.0)
    for second, height in zip(at, level, strict=True):
        change = len(changes_s) and float(np.abs(changes_s - second).min()) < 0.03
        place = second * RATE_HZ
        low = int(place)
        for index in range(max(0, low - 6), min(len(curve), low + 8)):
            bump = np.exp(-0.5 * ((index - place) / 2.0) ** 2)
            curve[index] += (0.5 + 0.5 * height + 0.5 * bool(change)) * bump
    return curve


def _periods(curve: Floats) -> list[float]:
    """Return likely beat periods in hops: peaks of the autocorrelation, weighed by tempo."""
    size = 1 << int(np.ceil(np.log2(2 * len(curve))))
    power = np.abs(np.fft.rfft(curve - curve.mean(), size)) ** 2
    same = np.fft.irfft(power, size)[: len(curve)]
    low, high = int(60 * RATE_HZ / _HIGH_BPM), int(60 * RATE_HZ / _LOW_BPM)
    lags = np.arange(low, min(high + 1, len(same) - 2))
    if not len(lags):
        return []
    weight = _prior(60 * RATE_HZ / lags)
    total = same[lags] + 0.5 * _at(same, 2 * lags) + 0.25 * _at(same, 4 * lags)
    value = np.maximum(total, 0) * weight
    peaks = [i for i in range(len(lags)) if value[i] == value[max(0, i - 4) : i + 5].max() > 0]
    peaks.sort(key=lambda i: -value[i])
    periods = [float(lags[i]) for i in peaks[:4]]
    for period in periods[:2]:
        for other in (period / 2, period * 2):
            near = any(abs(other / p - 1) < 0.08 for p in periods)
            if low <= other <= high and not near:
                periods.append(other)
    return periods


def _prior(bpm: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * (np.log2(bpm / MIDDLE_BPM) / _SPREAD_OCTAVES) ** 2))


def _at(values: Floats, lags: NDArray[np.int64]) -> Floats:
    out = np.zeros(len(lags))
    inside = lags < len(values)
    out[inside] = values[lags[inside]]
    return out


def _wandering(beats: Floats, period: float, count: int) -> Floats:
    """Return the period at each hop: a median over neighbours of the beats of a first pass."""
    if len(beats) < 4:
        return np.full(count, period)
    steps = np.pad(np.diff(beats) * RATE_HZ, 3, "edge")
    local = np.median(np.lib.stride_tricks.sliding_window_view(steps, 7), axis=1)
    local = np.clip(local, period / 1.35, period * 1.35)
    return np.asarray(np.interp(np.arange(count), beats[1:] * RATE_HZ, local))


def _tracked(curve: Floats, period: Floats, tight: float) -> Floats:
    """Return beats in seconds by dynamic programming about a period given at each hop."""
    count = len(curve)
    score = curve.copy()
    back = np.full(count, -1)
    lags = np.arange(max(1, int(period.min() * 0.6)), int(period.max() * 1.6) + 1)
    logs = np.log(lags)
    weight = tight * max(float(curve.max()), 1e-9)
    for place in range(count):
        have = lags[lags <= place]
        if not len(have):
            continue
        penalty = weight * (logs[: len(have)] - np.log(period[place])) ** 2
        options = score[place - have] - penalty
        best = int(options.argmax())
        if options[best] > 0:
            score[place] += options[best]
            back[place] = place - have[best]
    tail = max(0, count - int(1.5 * period[-1]))
    place = tail + int(score[tail:].argmax())
    beats = []
    while place >= 0:
        beats.append(place / RATE_HZ)
        place = int(back[place])
    return np.array(beats[::-1])


def _thinned(beats: Floats) -> list[Floats]:
    """Return the beats, and every second, third, fourth and sixth where that is a usual tempo.

    Quick even strokes are followed best at their own pace, and the beat found among them.
    """
    if len(beats) < 3:
        return []
    step = float(np.median(np.diff(beats)))
    return [
        beats[phase::every]
        for every in (1, 2, 3, 4, 6)
        for phase in range(every)
        if _SLOWEST_BPM <= 60 / (step * every) <= _HIGH_BPM and len(beats[phase::every]) >= 3
    ]


def _snapped(beats: Floats, at: Floats) -> Floats:
    """Return beats moved onto a stroke that is very near."""
    near = nearest(beats, at)
    snapped = np.where(np.abs(near - beats) < 0.045, near, beats)
    keep = np.concatenate([[True], np.diff(snapped) > 0.12])
    return np.asarray(snapped[keep])


def _trimmed(beats: Floats, at: Floats) -> Floats:
    """Return beats from the first stroke to a little after the last."""
    period = float(np.median(np.diff(beats))) if len(beats) > 1 else 0.5
    inside = (beats > at[0] - 0.4 * period) & (beats < at[-1] + 1.2 * period)
    return np.asarray(beats[inside])


def _bars(beats: Floats, changes_s: Floats, division: int) -> tuple[int, int]:
    """Return beats a bar and the first downbeat: where most chords change.

    Four or three of them; beats in thirds make bars of two, four or three.
    """
    bars = (4, 3) if division == 2 else (2, 4, 3)
    if len(beats) < 4 or not len(changes_s):
        return bars[0], 0
    changed = (np.abs(nearest(beats, changes_s) - beats) < 0.08).astype(float)
    best = (-1.0, bars[0], 0)
    for bar in bars:
        for phase in range(bar):
            on = changed[phase::bar]
            rest = float(changed.sum() - on.sum()) / max(1, len(changed) - len(on))
            value = float(on.mean()) - rest + (0.12 if bar == bars[0] else 0.0)
            if value > best[0] + 1e-9:
                best = (value, bar, phase)
    return best[1], best[2]
