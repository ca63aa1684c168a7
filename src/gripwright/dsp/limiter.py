"""The gain of a look-ahead limiter for true peaks.

What each short block needs is known before the block comes: the gain falls to it in a straight
line in decibels and rises again slowly, so nothing clicks. What a changing gain does between
the samples is small, and checked by whoever measures the true peak afterwards.
"""

from __future__ import annotations

from typing import Any

import numpy as np

Signal = np.ndarray[Any, np.dtype[Any]]

BLOCK = 32
_ATTACK_DB_S = 3_000.0  # 6 dB in 2 ms
_RELEASE_DB_S = 60.0


def gain_curve_db(peaks_db: Signal, rate: int, ceiling_db: float) -> Signal:
    """Return the gain in decibels, at most 0, for each block of `BLOCK` samples.

    ``peaks_db`` are the true peaks of the blocks. Read in between by straight lines, the gain
    keeps every block under the ceiling.
    """
    need = np.minimum(0.0, ceiling_db - peaks_db)
    padded = np.concatenate([[0.0], need, [0.0]])
    around = np.minimum(need, np.minimum(padded[:-2], padded[2:]))
    falling = _sloped(around[::-1], _ATTACK_DB_S * BLOCK / rate)[::-1]
    return _sloped(falling, _RELEASE_DB_S * BLOCK / rate)


def apply_gain(x: Signal, gain_db: Signal) -> Signal:
    """Return sound of shape (samples, channels) under a gain given for each block."""
    places = (np.arange(len(gain_db)) + 0.5) * BLOCK
    gain = np.interp(np.arange(len(x)), places, 10 ** (gain_db / 20))
    out: Signal = x * gain[:, None]
    return out


def _sloped(need: Signal, rise: float) -> Signal:
    """Return the highest curve at or under a need that rises by so much a block at most."""
    ramp = rise * np.arange(len(need))
    curve: Signal = np.minimum.accumulate(need - ramp) + ramp
    return curve
