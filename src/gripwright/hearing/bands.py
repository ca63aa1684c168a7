"""Power in bands of a third of a semitone: what all hearing looks at.

Band ``3 j + 1`` is centred on MIDI ``LOW_MIDI + j`` of the take's own tuning, its neighbours a
third of a semitone beside it. Spectra are of ``RATE`` hertz mono, transformed at ``SIZE``.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

RATE = 22050
SIZE = 16384
LOW_MIDI = 33
SEMITONES = 85
BANDS = 3 * SEMITONES


def hertz(midi: float | NDArray[np.floating], cents: float = 0.0) -> NDArray[np.float64]:
    """Return the frequency of MIDI numbers, A4 = 440 Hz raised by ``cents``."""
    return np.asarray(440.0 * 2.0 ** ((np.asarray(midi, float) - 69 + cents / 100) / 12))


@lru_cache(maxsize=16)
def band_matrix(cents: float = 0.0, size: int = SIZE, rate: int = RATE) -> Floats:
    """Return the triangles that gather a power spectrum into bands, [size // 2 + 1, BANDS].

    Each triangle reaches a third of a semitone to both sides, or one bin where that is more,
    and sums to 1.
    """
    centres = hertz(LOW_MIDI + (np.arange(BANDS) - 1) / 3, cents)
    reach = np.maximum(centres * (2 ** (1 / 36) - 1), rate / size)
    bins = np.arange(size // 2 + 1) * rate / size
    weights = np.maximum(0.0, 1 - np.abs(bins[:, None] - centres) / reach)
    return np.asarray(weights / np.maximum(weights.sum(axis=0), 1e-9), np.float32)


@lru_cache(maxsize=64)
def window(length: int) -> Floats:
    """Return a Hann window whose sum is 2, so that a sine of amplitude 1 has power 1."""
    shape = np.hanning(length + 2)[1:-1]
    return np.asarray(2 * shape / shape.sum(), np.float32)


def powers(x: Floats, starts: NDArray[np.int64], length: int, size: int = SIZE) -> Floats:
    """Return power spectra of windows that begin at ``starts``, [starts, size // 2 + 1].

    Windows that reach past the ends of the sound meet silence there.
    """
    frames = np.zeros((len(starts), length), np.float32)
    for frame, start in zip(frames, starts.tolist(), strict=True):
        part = x[max(start, 0) : max(start + length, 0)]
        low = max(-start, 0)
        frame[low : low + len(part)] = part
    spectra = np.fft.rfft(frames * window(length), size)
    return np.asarray(spectra.real**2 + spectra.imag**2, np.float32)
