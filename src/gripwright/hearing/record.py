"""The record bench: work a song out from a record, two bars at a time.

Everything here is local: a record is never packed and never leaves the machine. Sound is
float32, shape (samples, channels).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

import numpy as np
import soxr  # type: ignore[import-untyped]

from gripwright.dsp.loudness import integrated_lufs
from gripwright.dsp.media import stream_audio
from gripwright.dsp.stretch import shift_cents, stretch
from gripwright.dsp.strings import render
from gripwright.errors import GripError, InputError
from gripwright.harmony.reading import Reading, readings
from gripwright.hearing.bands import LOW_MIDI, RATE
from gripwright.hearing.handed import Held, likely_grips
from gripwright.hearing.sound import judged
from gripwright.hearing.strokes import Stroked, listen
from gripwright.lesson.sound import Sound
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.timing import TempoMap

Samples = np.ndarray[Any, np.dtype[np.float32]]
Band = Literal["whole", "bass", "centre", "sides"]

MIN_SPEED, MAX_SPEED = 0.3, 1.0
MAX_TIMES = 100
BASS_HZ = 250.0
_STRUM_S = 0.012
_UNDER_LU = -6.0


@dataclass(frozen=True, slots=True)
class SoundsHere:
    """What sounds in a span: pitches low to high, the bass, likely grips and their readings.

    ``sure`` [midi] are the pitches in the order of how sure they are.
    """

    midi: tuple[int, ...]
    sure: tuple[int, ...]
    grips: tuple[Grip, ...]
    readings: tuple[Reading, ...]
    tuning_cents: float


def read_span(path: Path, start_s: float, end_s: float) -> tuple[Samples, int]:
    """Read one span of a record at its own rate, streamed.

    Raises MediaError for what cannot be read, InputError for a span outside the record.
    """
    if not 0 <= start_s < end_s:
        raise InputError(
            f"the span from {start_s:g} to {end_s:g} s is empty", field="span",
            remedy="give a start before its end",
        )  # fmt: skip
    rate = 44_100
    held, at = [], 0
    low, high = round(start_s * rate), round(end_s * rate)
    for block in stream_audio(path, rate=rate):
        first, last = max(low - at, 0), min(high - at, len(block))
        if first < last:
            held.append(block[first:last])
        at += len(block)
        if at >= high:
            break
    if not held:
        raise InputError(
            f"the record ends at {at / rate:.1f} s, before the span starts at {start_s:g} s",
            field="span", remedy="give a span inside the record",
        )  # fmt: skip
    return np.concatenate(held), rate


def band_of(x: Samples, rate: int, band: Band) -> Samples:
    """Return a part of the record: its bass, or what is alike or unlike in both channels.

    ``sides`` of a mono record is silence, so it is refused with an InputError.
    """
    if band == "whole":
        return x
    if band == "bass":
        return _below(x, rate, BASS_HZ)
    middle = x.mean(axis=1, keepdims=True)
    if band == "centre":
        return np.asarray(np.repeat(middle, x.shape[1], axis=1), np.float32)
    sides = x - middle
    if x.shape[1] == 1 or float(np.abs(sides).max()) < 1e-4:
        raise InputError(
            "the record is mono: it has no sides", field="band", remedy="take whole or bass"
        )
    return np.asarray(sides, np.float32)


def _below(x: Samples, rate: int, hz: float) -> Samples:
    """Return what lies below a frequency, by a smooth filter of linear phase."""
    size = 1 << int(np.ceil(np.log2(len(x) + rate)))
    response = 1 / (1 + (np.fft.rfftfreq(size, 1 / rate) / hz) ** 8)
    out = np.fft.irfft(np.fft.rfft(x, size, axis=0) * response[:, None], size, axis=0)
    return np.asarray(out[: len(x)], np.float32)


def practice_loop(
    x: Samples, rate: int, *, speed: float = 1.0, cents: float = 0.0, times: int = 1
) -> Samples:
    """Return a span slowed at the same pitch, retuned, and repeated without a click.

    ``speed`` is 0.3 to 1 (1 is as recorded); ``cents`` raises the pitch. Raises InputError.
    """
    if not MIN_SPEED <= speed <= MAX_SPEED:
        raise InputError(
            f"the speed {100 * speed:g} % is outside 30 to 100 %", field="speed",
            remedy="give a speed from 30 to 100",
        )  # fmt: skip
    if not 1 <= times <= MAX_TIMES:
        raise InputError(
            f"a loop is repeated 1 to {MAX_TIMES} times, not {times}", field="times",
            remedy=f"give a number from 1 to {MAX_TIMES}",
        )  # fmt: skip
    slow = stretch(x, rate, 1 / speed) if speed != 1.0 else x
    tuned = shift_cents(slow, rate, cents) if cents else slow
    faded = np.array(tuned, np.float32)
    edge = min(len(faded) // 2, int(0.005 * rate))
    ramp = np.linspace(0, 1, edge, dtype=np.float32)[:, None]
    faded[:edge] *= ramp
    faded[len(faded) - edge :] *= ramp[::-1]
    return np.tile(faded, (times, 1))


def sounds_here(x: Samples, rate: int, neck: Neck = STANDARD_NECK) -> SoundsHere:
    """Hear one span as one chord: pitches, grips that make them in this tuning, readings."""
    mono = np.asarray(soxr.resample(x.mean(axis=1), rate, RATE), np.float32)
    stroked = listen(judged(mono, "the span"))
    odds = _evidence(stroked)
    held = likely_grips(odds, neck)
    pitches = tuple(int(p) + LOW_MIDI for p in np.flatnonzero(odds > 0))
    sure = tuple(sorted(pitches, key=lambda midi: -odds[midi - LOW_MIDI]))
    return SoundsHere(
        pitches, sure, tuple(one.grip for one in held[:6]), _readings(held, neck),
        stroked.tuning_cents,
    )  # fmt: skip


def _evidence(stroked: Stroked) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return log-odds of each pitch over the whole span: the mean of the stronger half."""
    if not len(stroked.strokes):
        return np.full(stroked.sounding.shape[1], -9.0)
    ranked = np.sort(stroked.sounding.astype(np.float64), axis=0)
    return np.asarray(ranked[len(ranked) // 2 :].mean(axis=0))


def _readings(held: tuple[Held, ...], neck: Neck) -> tuple[Reading, ...]:
    for one in held:
        try:
            return readings(one.grip, neck)[:3]
        except GripError:
            continue  # a single string is no chord
    return ()


def with_grip(
    x: Samples, rate: int, grip: Grip, neck: Neck = STANDARD_NECK, *, every_s: float = 2.0,
    cents: float = 0.0,
) -> Samples:  # fmt: skip
    """Return a span with a grip strummed underneath, in the record's tuning, for comparison.

    The grip lies 6 LU below the record and is struck at the start and every ``every_s``.
    """
    length_s = len(x) / rate
    count = max(1, int(length_s / every_s))
    clock = TempoMap(((Fraction(0), 0.0), (Fraction(1), every_s)))
    sounds = [
        Sound(
            Fraction(at), Fraction(1), sounding.string, sounding.fret, sounding.midi, 0.8,
            "down", _STRUM_S * order,
        )
        for at in range(count)
        for order, sounding in enumerate(soundings(grip, neck))
    ]  # fmt: skip
    struck = render(sounds, neck, clock, rate=rate)[: len(x)]
    struck = shift_cents(struck, rate, cents) if cents else struck
    under = np.zeros((len(x), 2), np.float32)
    under[: len(struck)] = struck
    gap = integrated_lufs(x, rate) + _UNDER_LU - integrated_lufs(under, rate)
    gain = 10 ** (gap / 20) if np.isfinite(gap) else 1.0
    both = np.repeat(x, 2, axis=1) if x.shape[1] == 1 else x
    mixed = both + np.float32(gain) * under
    return np.asarray(mixed / max(1.0, float(np.abs(mixed).max())), np.float32)
