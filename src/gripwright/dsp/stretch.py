"""Slower or faster at the same pitch, and another pitch at the same speed.

The work is done by the Signalsmith stretch library where its wheel is installed; elsewhere by
`gripwright.dsp.overlap`, our own plain method. Both keep attacks where they belong. Stretched
sound can exceed full scale where what went in did not: then it is limited to it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import soxr  # type: ignore[import-untyped]

from gripwright.dsp.limiter import BLOCK, apply_gain, gain_curve_db
from gripwright.dsp.overlap import overlapped
from gripwright.dsp.true_peak import block_peaks
from gripwright.errors import InputError

try:
    from python_stretch import Signalsmith
except ImportError:  # no wheel for this machine
    Signalsmith = None  # type: ignore[assignment]

Sound = np.ndarray[Any, np.dtype[np.float32]]

MIN_FACTOR, MAX_FACTOR = 0.25, 4.0
MAX_CENTS = 2400.0
_AT_ONCE = 2.01


def stretch(x: np.ndarray[Any, Any], rate: int, factor: float, *, plain: bool = False) -> Sound:
    """Return the sound ``factor`` times as long at the same pitch, float32, shaped as given.

    ``plain`` takes our own method even where the library is there. Raises InputError for a
    factor outside 0.25 to 4.
    """
    if not MIN_FACTOR <= factor <= MAX_FACTOR:
        raise InputError(
            f"sound can be made {MIN_FACTOR} to {MAX_FACTOR:g} times as long, not {factor:g}",
            field="speed", remedy="choose a speed from 25 to 400 %",
        )  # fmt: skip
    return _shaped(x, lambda both: _stretched(both, rate, factor, 0.0, plain))


def shift_cents(x: np.ndarray[Any, Any], rate: int, cents: float, *, plain: bool = False) -> Sound:
    """Return the sound higher by so many cents at the same speed, float32, shaped as given.

    Raises InputError for more than two octaves.
    """
    if not abs(cents) <= MAX_CENTS:
        raise InputError(
            f"sound can be shifted by up to {MAX_CENTS:g} cents, not {cents:g}",
            field="cents", remedy="choose a shift within two octaves",
        )  # fmt: skip
    return _shaped(x, lambda both: _stretched(both, rate, 1.0, cents, plain))


def _shaped(x: np.ndarray[Any, Any], work: Callable[[Sound], Sound]) -> Sound:
    given = np.asarray(x, np.float32)
    both = given[:, None] if given.ndim == 1 else given
    out = _within_full_scale(work(both), both)
    return out[:, 0] if x.ndim == 1 else out


def _stretched(x: Sound, rate: int, factor: float, cents: float, plain: bool) -> Sound:
    """Return (samples, channels) stretched and shifted, of exactly the length asked for.

    A shift is a change of speed by resampling, exact in pitch, and a stretch that undoes it.
    """
    count = round(len(x) * factor)
    if len(x) == 0 or (factor == 1.0 and cents == 0.0):
        return x[:count]
    if cents:
        x = soxr.resample(x, 2 ** (cents / 1200), 1.0)
    if plain or Signalsmith is None:
        return overlapped(x, rate, count)
    if count > _AT_ONCE * len(x):  # twice by a little smears less than once by a lot
        x = _by_library(x, rate, round(len(x) * (count / len(x)) ** 0.5))
    return _by_library(x, rate, count)


def _by_library(x: Sound, rate: int, count: int) -> Sound:
    engine = Signalsmith.Stretch()
    engine.preset(x.shape[1], rate)
    engine.setTimeFactor(len(x) / count)
    out = np.asarray(engine.process(np.ascontiguousarray(x.T)), np.float32).T
    exact = np.zeros((count, x.shape[1]), np.float32)
    exact[: min(count, len(out))] = out[:count]
    return exact


def _within_full_scale(out: Sound, given: Sound) -> Sound:
    """Return the sound limited to full scale, unless what was given went beyond it."""
    if not len(out) or np.abs(out).max() <= 1.0 or np.abs(given).max() > 1.0:
        return out
    peaks_db = 20 * np.log10(np.maximum(block_peaks(out, BLOCK), 1e-9))
    limited = apply_gain(out, gain_curve_db(peaks_db, 44_100, 0.0))
    return np.clip(limited, -1.0, 1.0).astype(np.float32)
