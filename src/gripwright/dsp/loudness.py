"""Loudness and true peak by ITU-R BS.1770-4, and setting both.

Loudness is the mean power of K-weighted sound over blocks of 400 ms that overlap by three
quarters, gated at -70 LUFS and then at 10 LU below what is left (annex 1). The true peak is the
peak of the sound sampled four times as finely (annex 2). All sound is float, shape (samples,)
or (samples, channels), full scale 1.0.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from gripwright.dsp.fir import filtered
from gripwright.dsp.limiter import BLOCK, apply_gain, gain_curve_db
from gripwright.dsp.true_peak import block_peaks

Signal = np.ndarray[Any, np.dtype[Any]]

ABSOLUTE_GATE_LUFS, RELATIVE_GATE_LU = -70.0, -10.0
_OFFSET = -0.691
_STEP_S, _OVERLAP = 0.1, 4  # a block is four steps
_IMPULSE_S = 0.25  # the high-pass at 38 Hz has died away by 140 dB
_ROUNDS = 30
_CLOSE_LU = 0.005
_MOST_DB = 30.0  # above full scale, before the limiter: louder is no longer music
_MARGIN_DB = 0.3  # for the changing gain, and for meters that interpolate otherwise


def integrated_lufs(x: Signal, rate: int) -> float:
    """Return the integrated loudness in LUFS; minus infinity for silence or under 0.4 s.

    Channels count alike (left and right; annex 1, table 3).
    """
    weighted = filtered(_channels(x).astype(np.float64), k_impulse(rate))
    energy = np.concatenate([[0.0], np.cumsum(np.sum(weighted**2, axis=1))])
    return _gated(energy, np.arange(len(energy)), rate)


def true_peak_dbtp(x: Signal, rate: int) -> float:
    """Return the true peak in dBTP, minus infinity for silence.

    ``rate`` does not matter: four times as finely is enough from 22 kHz on.
    """
    return _db(float(block_peaks(_channels(x), BLOCK).max(initial=0.0)))


def set_loudness(
    x: Signal, rate: int, lufs: float = -16.0, ceiling_dbtp: float = -1.0
) -> np.ndarray[Any, np.dtype[np.float32]]:
    """Return the sound at a loudness, its true peak at or under a ceiling, float32.

    A look-ahead limiter takes what is above the ceiling; sound that cannot be that loud under
    it comes out as loud as it gets. Silence is returned as it is.
    """
    both = _channels(x).astype(np.float64)
    weighted = filtered(both, k_impulse(rate))
    starts = np.arange(0, len(both), BLOCK)
    energies = np.add.reduceat(np.sum(weighted**2, axis=1), starts)
    peaks_db = 20 * np.log10(np.maximum(block_peaks(both, BLOCK), 1e-9))
    places = np.append(starts, len(both))

    def curve_db(gain_db: float) -> Signal:
        return gain_db + gain_curve_db(peaks_db + gain_db, rate, ceiling_dbtp - _MARGIN_DB)

    def heard_lufs(gain_db: float) -> float:
        """Return about how loud the limited sound is: the gain is slow beside the sound."""
        power = energies * 10 ** (curve_db(gain_db) / 10)
        return _gated(np.concatenate([[0.0], np.cumsum(power)]), places, rate)

    gain_db = 0.0
    for _ in range(_ROUNDS):
        missing = lufs - heard_lufs(gain_db)
        if not np.isfinite(missing):
            return np.asarray(x, np.float32)
        if abs(missing) < _CLOSE_LU:
            break
        gain_db = min(gain_db + missing, _MOST_DB - float(peaks_db.max()))
    out = apply_gain(both, curve_db(gain_db))
    over = true_peak_dbtp(out, rate) - ceiling_dbtp
    if over > 0:
        out *= 10 ** (-(over + 0.001) / 20)
    return out.reshape(x.shape).astype(np.float32)


def _channels(x: Signal) -> Signal:
    return x[:, None] if x.ndim == 1 else x


def _db(value: float) -> float:
    return 20 * float(np.log10(value)) if value > 0 else float("-inf")


def _lufs(power: Any) -> Any:
    with np.errstate(divide="ignore"):
        return _OFFSET + 10 * np.log10(power)


def _gated(energy: Signal, places: Signal, rate: int) -> float:
    """Return the gated loudness from the running sum of weighted energy at some samples."""
    steps = int(places[-1] / rate / _STEP_S + 1e-9)
    if steps < _OVERLAP:
        return float("-inf")
    edges = np.round(np.arange(steps + 1) * _STEP_S * rate)
    sums = np.interp(edges, places, energy)
    powers = (sums[_OVERLAP:] - sums[:-_OVERLAP]) / (edges[_OVERLAP:] - edges[:-_OVERLAP])
    loud = powers[_lufs(np.maximum(powers, 0.0)) > ABSOLUTE_GATE_LUFS]
    if not len(loud):
        return float("-inf")
    gate = float(_lufs(np.mean(loud))) + RELATIVE_GATE_LU
    return float(_lufs(np.mean(loud[_lufs(loud) > gate])))


def k_coefficients(rate: int) -> tuple[tuple[float, ...], ...]:
    """Return the K filter: (b0, b1, b2, a1, a2) of the shelf and of the high-pass.

    The standard gives coefficients at 48 kHz only; these come from the analogue filters that
    those digitise (bilinear transform), and equal them at 48 kHz.
    """
    gain, q, hz = 10 ** (3.999843853973347 / 20), 0.7071752369554196, 1681.974450955533
    middle = gain**0.4996667741545416
    k = float(np.tan(np.pi * hz / rate))
    a0 = 1 + k / q + k * k
    shelf = (
        (gain + middle * k / q + k * k) / a0, 2 * (k * k - gain) / a0,
        (gain - middle * k / q + k * k) / a0, 2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0,
    )  # fmt: skip
    q, hz = 0.5003270373238773, 38.13547087602444
    k = float(np.tan(np.pi * hz / rate))
    a0 = 1 + k / q + k * k
    return shelf, (1.0, -2.0, 1.0, 2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0)


@lru_cache(maxsize=8)
def k_impulse(rate: int) -> Signal:
    """Return the impulse response of the K filter, long enough to have died away."""
    signal = [0.0] * round(_IMPULSE_S * rate)
    signal[0] = 1.0
    for b0, b1, b2, a1, a2 in k_coefficients(rate):
        x1 = x2 = y1 = y2 = 0.0
        for index, x0 in enumerate(signal):
            y0 = b0 * x0 + b1 * x1 + b2 * x2 - a1 * y1 - a2 * y2
            x1, x2, y1, y2 = x0, x1, y0, y1
            signal[index] = y0
    response = np.array(signal)
    response.setflags(write=False)
    return response
