"""Slower or faster at the same pitch, and another pitch at the same speed.

The work is done by the Signalsmith stretch library where its wheel is installed; elsewhere by
`gripwright.dsp.overlap`, our own plain method. Both keep attacks where they belong. Stretched
sound can exceed full scale where what went in did not: then it is limited to it. Sound of
more than half a minute is stretched in pieces (`gripwright.dsp.pieces`), so that a stream of
any length needs the memory of two pieces and gives the samples that the whole does.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import numpy as np
import soxr  # type: ignore[import-untyped]

from gripwright.dsp.limiter import BLOCK, apply_gain, gain_curve_db
from gripwright.dsp.overlap import overlapped
from gripwright.dsp.pieces import joined
from gripwright.dsp.true_peak import block_peaks
from gripwright.errors import InputError

try:
    from python_stretch import Signalsmith
except ImportError:  # no wheel for this machine
    Signalsmith = None  # type: ignore[assignment]

Sound = np.ndarray[Any, np.dtype[np.float32]]

MIN_FACTOR, MAX_FACTOR = 0.25, 4.0
MAX_CENTS = 2400.0
_AT_ONCE = 1.98  # from 2 on (less a hop's rounding) the library leaves phases to chance


def stretch(x: np.ndarray[Any, Any], rate: int, factor: float, *, plain: bool = False) -> Sound:
    """Return the sound ``factor`` times as long at the same pitch, float32, shaped as given.

    ``plain`` takes our own method even where the library is there. Raises InputError for a
    factor outside 0.25 to 4.
    """
    return _shaped(
        x,
        lambda both: np.concatenate([*stretch_blocks([both], rate, factor, plain=plain)] or [both]),
    )


def stretch_blocks(
    blocks: Iterable[Sound], rate: int, factor: float, *, plain: bool = False
) -> Iterator[Sound]:
    """Yield a stream of blocks, shape (samples, channels), stretched as `stretch` does a whole.

    The samples are those of the whole, however the stream is cut. Raises InputError likewise.
    """
    if not MIN_FACTOR <= factor <= MAX_FACTOR:
        raise InputError(
            f"sound can be made {MIN_FACTOR} to {MAX_FACTOR:g} times as long, not {factor:g}",
            field="speed", remedy="choose a speed from 25 to 400 %",
        )  # fmt: skip
    yield from joined(
        blocks, rate, factor,
        lambda x, count: _within_full_scale(_resized(x, rate, count, plain), x),
    )  # fmt: skip


def shift_cents(x: np.ndarray[Any, Any], rate: int, cents: float, *, plain: bool = False) -> Sound:
    """Return the sound higher by so many cents at the same speed, float32, shaped as given.

    That is a change of speed by resampling, exact in pitch, and a stretch that undoes it.
    Raises InputError for more than two octaves.
    """
    if not abs(cents) <= MAX_CENTS:
        raise InputError(
            f"sound can be shifted by up to {MAX_CENTS:g} cents, not {cents:g}",
            field="cents", remedy="choose a shift within two octaves",
        )  # fmt: skip

    def shifted(both: Sound) -> Sound:
        if not len(both) or not cents:
            return both
        moved = np.asarray(soxr.resample(both, 2 ** (cents / 1200), 1.0), np.float32)
        return _within_full_scale(_resized(moved, rate, len(both), plain), both)

    return _shaped(x, shifted)


def _shaped(x: np.ndarray[Any, Any], work: Callable[[Sound], Sound]) -> Sound:
    given = np.asarray(x, np.float32)
    both = given[:, None] if given.ndim == 1 else given
    out = work(both)
    return out[:, 0] if x.ndim == 1 else out


def _resized(x: Sound, rate: int, count: int, plain: bool) -> Sound:
    """Return (samples, channels) stretched to exactly so many samples."""
    if len(x) == 0 or count == len(x):
        return x[:count]
    if plain or Signalsmith is None:
        return overlapped(x, rate, count)
    times = max(1, math.ceil(math.log(count / len(x), _AT_ONCE)))
    for left in range(times, 0, -1):  # twice by a little smears less than once by a lot
        x = _by_library(x, rate, round(len(x) * (count / len(x)) ** (1 / left)))
    return x


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
