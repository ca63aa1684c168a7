"""How a take is tuned: the whole in cents, and each string.

Deviations of spectral peaks from the nearest semitone, averaged on the circle of 100 cents
(after Dressler and Streich, "Tuning frequency estimation using circular statistics", ISMIR
2007). Only peaks below 1 kHz count: stiffness raises the higher partials of a string.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import RATE, SIZE, Floats, hertz, powers

_LOW_HZ, _HIGH_HZ = 75.0, 1000.0
_MOST_LOOKS = 400


def tuning_cents(x: Floats) -> float:
    """Return how far the take lies from A4 = 440 Hz, -50 to 50 cents."""
    count = min(_MOST_LOOKS, max(4, len(x) // (RATE // 4)))
    starts = np.linspace(0, max(0, len(x) - 8192), count).astype(np.int64)
    found = [_peaks(powers(x, starts[at : at + 100], 8192)) for at in range(0, count, 100)]
    deviations, weights = (np.concatenate(part) for part in zip(*found, strict=True))
    if not len(weights):
        return 0.0
    around = np.sum(weights * np.exp(2j * np.pi * deviations / 100))
    mean = float(np.angle(around) / (2 * np.pi) * 100)
    off = (deviations - mean + 50) % 100 - 50
    near = np.abs(off) < 20  # a second look without what fits no semitone
    if near.any():
        mean += float(np.sum(weights[near] * off[near]) / np.sum(weights[near]))
    return (mean + 50) % 100 - 50


def _peaks(power: Floats) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return deviations in cents and weights of the peaks of power spectra."""
    low, high = int(_LOW_HZ * SIZE / RATE), int(_HIGH_HZ * SIZE / RATE)
    level = np.log(power[:, low - 1 : high + 2] + 1e-14)
    a, b, c = level[:, :-2], level[:, 1:-1], level[:, 2:]
    loud = b > b.max(axis=1, keepdims=True) - 6.0
    loud &= b > np.log(power.max() + 1e-14) - 9.0
    rows, bins = np.nonzero((b > a) & (b >= c) & loud)
    a, b, c = a[rows, bins], b[rows, bins], c[rows, bins]
    shift = 0.5 * (a - c) / (a - 2 * b + c - 1e-12)
    midi = 69 + 12 * np.log2((bins + low + shift) * RATE / SIZE / 440)
    return 100 * (midi - np.round(midi)), np.exp(0.25 * b).astype(np.float64)


def peak_cents(
    power: Floats, midi: int, cents: float, partial: int = 1
) -> tuple[float, float] | None:
    """Return how far a pitch lies from the take's tuning in cents, and its log power.

    The peak is looked for 35 cents to both sides of a partial in a power spectrum of `SIZE`;
    None where none shows.
    """
    middle = float(hertz(midi, cents)) * partial * SIZE / RATE
    low, high = int(middle * 2 ** (-35 / 1200)), int(np.ceil(middle * 2 ** (35 / 1200)))
    if high + 1 >= len(power):
        return None
    place = low + int(np.argmax(power[low : high + 1]))
    if not low < place < high:
        return None
    a, b, c = np.log(power[place - 1 : place + 2] + 1e-14)
    found = place + 0.5 * (a - c) / (a - 2 * b + c - 1e-12)
    return float(1200 * np.log2(found / middle)), float(b)
