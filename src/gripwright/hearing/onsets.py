"""Find strokes: when the first string of each sounds, and the last.

Flux of log power in third-octave-like bands finds attacks; the rise of the high-passed signal
itself places them to the millisecond; attacks that follow each other at once are one stroke.
Flux after Dixon, "Onset detection revisited" (DAFx 2006); the placing is our own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import RATE, Floats, window

HOP = 64
_LENGTH = 512
_LAG, _MEMORY, _STEP = 6, 14, 2
_TOGETHER_S = 0.075
_LONGEST_S = 0.13
_RISE = 33


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Strokes in order: seconds of the first and the last attack, and how strong the flux was."""

    first_s: NDArray[np.float64]
    last_s: NDArray[np.float64]
    strength: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.first_s)

    def only(self, chosen: NDArray[np.bool_]) -> Strokes:
        """Return the chosen ones."""
        return Strokes(self.first_s[chosen], self.last_s[chosen], self.strength[chosen])


@lru_cache(maxsize=1)
def _bands() -> Floats:
    hz = np.geomspace(90, 9000, 34)
    bins = np.arange(_LENGTH // 2 + 1) * RATE / _LENGTH
    weights = np.zeros((len(bins), 32), np.float32)
    for band in range(32):
        low, mid, high = hz[band : band + 3]
        reach = max(mid - low, RATE / _LENGTH), max(high - mid, RATE / _LENGTH)
        up, down = 1 - (mid - bins) / reach[0], 1 - (bins - mid) / reach[1]
        weights[:, band] = np.maximum(0, np.minimum(up, down))
    return np.asarray(weights / np.maximum(weights.sum(axis=0), 1e-9), np.float32)


def flux(x: Floats) -> Floats:
    """Return how much the sound rises at each hop of `HOP` samples, centred, [frames]."""
    out = np.empty((len(x) + _LENGTH // 2) // HOP + 1, np.float32)
    scale = np.sqrt(np.dot(x, x) / max(len(x), 1)) + 1e-9
    before = np.zeros((_LAG + _MEMORY, 32), np.float32)
    for at in range(0, len(out), 8192):
        spectra = np.fft.rfft(_frames(x, at, min(8192, len(out) - at)) * window(_LENGTH))
        power = (spectra.real**2 + spectra.imag**2).astype(np.float32) @ _bands()
        level = np.log1p(power * np.float32(1000 / scale**2))
        held = np.concatenate([before, level])
        recent = held[:-_LAG].copy()
        for back in range(_STEP, _MEMORY, _STEP):
            recent[back:] = np.maximum(recent[back:], held[: -_LAG - back])
        rise = np.maximum(held[_LAG + _MEMORY :] - recent[_MEMORY:], 0)
        out[at : at + len(rise)] = rise.mean(axis=1)
        before = held[-_LAG - _MEMORY :]
    return out


def _frames(x: Floats, first: int, count: int) -> Floats:
    """Return frames centred on hops, silence around the sound; one block at a time."""
    start = first * HOP - _LENGTH // 2
    stop = start + (count - 1) * HOP + _LENGTH
    part = np.pad(x[max(start, 0) : stop], (max(-start, 0), max(stop - len(x), 0)))
    return np.lib.stride_tricks.sliding_window_view(part, _LENGTH)[::HOP]


def find_strokes(x: Floats, sensitivity: float = 1.0) -> Strokes:
    """Return the strokes of a sound; a higher ``sensitivity`` finds weaker ones."""
    rise = smoothed(flux(x), 3)
    peaks = _peaks(rise, sensitivity)
    attacks = _placed(x, peaks * HOP)
    strong = rise[peaks]
    if not len(attacks):
        empty = np.zeros(0)
        return Strokes(empty, empty, empty)
    first, last, strength = [attacks[0]], [attacks[0]], [float(strong[0])]
    for at, power in zip(attacks[1:], strong[1:], strict=True):
        if at - last[-1] < _TOGETHER_S and at - first[-1] < _LONGEST_S:
            last[-1] = max(at, last[-1])
            strength[-1] += float(power)
        else:
            first.append(at)
            last.append(at)
            strength.append(float(power))
    return Strokes(np.array(first), np.array(last), np.array(strength))


def smoothed(x: Floats, width: int) -> Floats:
    """Return a moving mean."""
    return np.asarray(np.convolve(x, np.ones(width, np.float32) / width, "same"), np.float32)


def moving_max(x: Floats, reach: int) -> Floats:
    """Return the largest value within ``reach`` to both sides."""
    padded = np.pad(x, reach, constant_values=-np.inf)
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1).max(axis=1))


def _peaks(rise: Floats, sensitivity: float) -> NDArray[np.int64]:
    """Return the hops of peaks that stand out from their surroundings and from the whole."""
    tall = moving_max(rise, 6)
    second = RATE // HOP
    rows = len(rise) // second
    tops = (
        rise[: rows * second].reshape(rows, second).max(axis=1) if rows else rise.max(keepdims=True)
    )
    floor = max(0.13 * np.percentile(tops, 70), 0.05 * rise.max()) / sensitivity
    near = moving_max(rise, second // 5)
    fits = (rise == tall) & (rise > floor) & (rise > 0.12 / sensitivity * near)
    return np.flatnonzero(fits)


def _placed(x: Floats, samples: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return the second at which the signal starts to rise towards each attack."""
    out = []
    reach, ahead, around = int(0.030 * RATE), int(0.002 * RATE), 40
    for at in samples:
        low, high = max(0, at - reach), min(len(x), at + ahead)
        first = max(0, low - around)
        near = np.abs(np.diff(x[first : high + around]))
        if high - low < 8 or len(near) <= _RISE:
            out.append(at / RATE)
            continue
        part = smoothed(near, _RISE)[low - first : high - first]
        top = int(np.argmax(part))
        base = float(part[: top + 1].min())
        wanted = base + 0.03 * (float(part[top]) - base)
        below = np.flatnonzero(part[: top + 1] < wanted)
        out.append((low + (int(below[-1]) + 1 if len(below) else 0)) / RATE)
    return np.array(out, np.float64)
