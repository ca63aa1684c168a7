"""Which of several beats a take is counted in: what speaks for each, in one fitted choice.

Strokes a second apart may be beats, half beats, or every second one. What tells is where strokes,
accents, low strings and changes of chord fall, how many beats a chord lasts, whether a beat falls
into halves or thirds, and how fast people usually count. The weights are a conditional logit
(McFadden, in Zarembka, Frontiers in Econometrics, 1974) over the beats tried on development takes
in simple and compound metres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.strokes import Stroked

Floats = NDArray[np.float64]

MIDDLE_BPM = 104.0
THIRDS = 0.3
"""How far thirds outweigh halves where the beat is taken to fall into three."""

_ON_S, _CHANGE_S = 0.06, 0.07
_HIT, _HEARD, _CHANGED, _WIDE = 2.74, 1.63, 4.57, -0.4
_TEMPO, _TEMPO_SQUARED, _TEMPO_IN_THIRDS = -0.74, -1.77, -2.4
_EVERY_BEAT, _EVERY_SECOND, _EVERY_FOURTH = -2.85, 2.04, 3.14
_HALVES, _IN_THIRDS, _ACCENT, _LOW = 1.29, -2.6, 0.8, 0.22
_STEADY = 0.09
_HIGHEST = 40.0


@dataclass(frozen=True, slots=True, eq=False)
class Pulses:
    """Strokes that sound a pitch: seconds, strength of flux, level, and lowest pitch struck."""

    at: Floats
    strength: Floats
    level_db: Floats
    lowest: Floats


def pulses_of(stroked: Stroked) -> Pulses:
    """Return the strokes of a take in which a pitch is heard."""
    if not len(stroked.strokes):
        return Pulses(np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0))
    tonal = stroked.sounding.max(axis=1) > 0
    struck = stroked.struck[tonal] > 0
    lowest = np.where(struck.any(axis=1), struck.argmax(axis=1), _HIGHEST)
    return Pulses(
        stroked.strokes.first_s[tonal], stroked.strokes.strength[tonal],
        stroked.level_db[tonal].astype(float), np.minimum(lowest, _HIGHEST).astype(float),
    )  # fmt: skip


def bpm_of(beats: Floats) -> float:
    """Return the tempo of beats by their median."""
    return float(60 / np.median(np.diff(beats)))


def merit(beats: Floats, pulses: Pulses, changes_s: Floats) -> float:
    """Return how likely these are the beats, in log odds up to a constant of the take."""
    at = pulses.at
    hit = float(np.mean(np.abs(nearest(beats, at) - beats) < _ON_S))
    inside = (at >= beats[0] - 0.1) & (at <= beats[-1] + 0.1)
    on = np.abs(nearest(at[inside], beats) - at[inside]) < _ON_S
    heard = float(np.average(on, weights=pulses.strength[inside])) if inside.any() else 0.0
    changed = 1.0
    if len(changes_s):
        changed = float(np.mean(np.abs(nearest(changes_s, beats) - changes_s) < _CHANGE_S))
    wide = max(0.0, float(np.std(np.log(np.diff(beats)))) - _STEADY)
    octaves = float(np.log2(bpm_of(beats) / MIDDLE_BPM))
    halves, thirds = divisions(beats, at)
    return (
        _HIT * hit + _HEARD * heard + _CHANGED * changed + _WIDE * wide
        + _TEMPO * octaves + _TEMPO_SQUARED * octaves**2
        + _TEMPO_IN_THIRDS * in_thirds(beats, at) * octaves
        + _rhythm(beats, changes_s) + _HALVES * halves + _IN_THIRDS * thirds
        + _ACCENT * _contrast(pulses.level_db[inside], on)
        - _LOW * _contrast(pulses.lowest[inside], on)
    )  # fmt: skip


def divisions(beats: Floats, at: Floats) -> tuple[float, float]:
    """Return the shares of strokes that fall on the halves and on the thirds of a beat."""
    inside = at[(at >= beats[0]) & (at <= beats[-1])]
    if not len(inside):
        return 0.0, 0.0
    part = np.interp(inside, beats, np.arange(len(beats))) % 1

    def share(place: float, reach: float) -> float:
        return float(np.mean(np.abs((part - place + 0.5) % 1 - 0.5) < reach))

    return share(0.5, 0.11), share(1 / 3, 0.09) + share(2 / 3, 0.09)


def in_thirds(beats: Floats, at: Floats) -> float:
    """Return how clearly the beat falls into thirds, 0 (not at all) to 2."""
    halves, thirds = divisions(beats, at)
    return float(np.clip(3 * (thirds - halves) - 0.3, 0, 2))


def _rhythm(beats: Floats, changes_s: Floats) -> float:
    """Return what the lengths of the chords say: two or four beats are usual, one is not."""
    inside = changes_s[(changes_s >= beats[0]) & (changes_s <= beats[-1])]
    lengths = np.diff(np.interp(inside, beats, np.arange(len(beats))))
    lengths = lengths[lengths > 0.3]
    if not len(lengths):
        return 0.0
    return float(
        _EVERY_BEAT * np.mean(lengths < 1.5)
        + _EVERY_SECOND * np.mean((lengths >= 1.5) & (lengths < 2.5))
        + _EVERY_FOURTH * np.mean((lengths >= 3.5) & (lengths < 4.5))
    )


def _contrast(values: Floats, on: NDArray[np.bool_]) -> float:
    """Return by how many sixes the mean on the beat lies above that between, within two."""
    if not on.any() or on.all():
        return 0.0
    return float(np.clip((values[on].mean() - values[~on].mean()) / 6, -2, 2))


def nearest(points: Floats, among: Floats) -> Floats:
    """Return for each point the nearest among rising values."""
    after = np.clip(np.searchsorted(among, points), 0, len(among) - 1)
    before = np.maximum(after - 1, 0)
    nearer = np.abs(among[before] - points) < np.abs(among[after] - points)
    return np.asarray(np.where(nearer, among[before], among[after]))
