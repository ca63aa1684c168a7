"""One plucked string: an extended Karplus-Strong tone, kept per pitch and manner.

The string is a delay line that feeds back through a short filter (Karplus and Strong, Computer
Music Journal 7(2), 1983; Jaffe and Smith in the same issue: fractional delay, pluck position,
decay). The filter is a symmetric three-tap damping, whose delay is one whole sample, and a
Lagrange interpolator that makes the loop exactly one period long. Both are finite, so a whole
period can be computed at once from the one before. A few body resonances are folded into the
excitation, since string and body commute (Smith, "Efficient synthesis of stringed musical
instruments", ICMC 1993).

Decay times and body modes are set by ear within what is usual; no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np

Signal = np.ndarray[Any, np.dtype[np.float64]]
Manner = Literal["open", "muted", "dead", "harmonic"]

LONGEST_S = 8.0
WOUND_BELOW = 57  # strings tuned below A3 are wound, as a rule
_ORDER = 5
# Hertz, seconds to 1/e, and how much louder the body makes a partial that it answers.
_BODY = ((98.0, 0.06, 1.2), (196.0, 0.05, 1.6), (392.0, 0.03, 1.0), (560.0, 0.02, 0.7),
         (790.0, 0.015, 0.5))  # fmt: skip
_BODY_S = 0.12
_PLUCK_PLACE = 0.17  # of the string's length, from the bridge
_NOISE = 0.05  # beside a click of 6
_LEVEL = 0.08
_DULL_HZ = 900.0


@dataclass(frozen=True, slots=True)
class Tone:
    """A struck string, as bright as it gets and dull: a mix of both says how hard it is struck.

    Both have shape (samples,), read-only, and start with the attack at sample 0.
    """

    bright: Signal
    dull: Signal


@lru_cache(maxsize=256)
def tone(midi: int, wound: bool, manner: Manner, rate: int, seed: int = 0) -> Tone:
    """Return the tone of a pitch; the same arguments give the same samples.

    ``seed`` varies the noise of the attack. A pitch above an eighth of the rate has no room for
    partials and is a dying sine, one above half of it is silent.
    """
    hz = 440.0 * 2 ** ((midi - 69) / 12)
    low_s, high_s = _decay_s(hz, wound, manner)
    samples = round(min(LONGEST_S, 1.1 * low_s) * rate)
    if hz > rate / 8:
        return _sine(hz, low_s, rate, samples)
    struck = _excitation(hz, wound, manner, rate, seed)
    bright = _string(struck, hz, low_s, high_s, rate, samples)
    bright *= _LEVEL / np.sqrt(np.mean(bright[: rate // 4] ** 2))
    _fade_out(bright, rate)
    dull = _dulled(bright, rate)
    for signal in (bright, dull):
        signal.setflags(write=False)
    return Tone(bright, dull)


def _sine(hz: float, low_s: float, rate: int, samples: int) -> Tone:
    """Return the tone of a pitch that is too high for a delay line."""
    time_s = np.arange(samples) / rate
    level = _LEVEL if hz < rate / 2 else 0.0
    signal: Signal = level * np.sin(2 * np.pi * hz * time_s) * 10 ** (-3 * time_s / low_s)
    signal.setflags(write=False)
    return Tone(signal, signal)


def _decay_s(hz: float, wound: bool, manner: Manner) -> tuple[float, float]:
    """Return the seconds to -60 dB of the fundamental and at 4 kHz."""
    low_s = 9.0 * (hz / 110.0) ** -0.45
    high_s = 0.7 if wound else 0.9
    if manner == "muted":
        return min(0.45, low_s), 0.06
    if manner == "dead":
        return 0.10, 0.03
    if manner == "harmonic":
        return low_s * 1.2, 0.5
    return low_s, min(high_s, low_s)


def _excitation(hz: float, wound: bool, manner: Manner, rate: int, seed: int) -> Signal:
    """Return what the finger puts in: a soft click and some noise, combed by its place."""
    period = rate / hz
    chance = np.random.default_rng((seed, round(hz * 100), int(wound)))
    length = max(8, round(period))
    noise = chance.standard_normal(length) * np.hanning(2 * length)[length:]
    click = np.zeros(length)
    click[0] = 6.0
    corner_hz = {"harmonic": 1500.0, "muted": 1800.0}.get(manner, 2200.0 * (hz / 220) ** 0.25)
    struck = _one_pole(click + _NOISE * noise, corner_hz, rate)
    place = 0.5 if manner == "harmonic" else _PLUCK_PLACE
    combed = np.zeros(length + round(period * place) + 1)
    combed[:length] += struck
    combed[round(period * place) :][:length] -= struck  # as much down as up: no offset
    return np.convolve(combed, _body(rate))


@lru_cache(maxsize=8)
def _body(rate: int) -> Signal:
    """Return the impulse response of the body, the string's own sound included."""
    time_s = np.arange(round(_BODY_S * rate)) / rate
    response = np.zeros(len(time_s))
    for hz, seconds, louder in _BODY:
        response += (
            2
            * louder
            / (seconds * rate)
            * np.sin(2 * np.pi * hz * time_s)
            * np.exp(-time_s / seconds)
        )
    response[0] += 1.0
    return response


def _one_pole(x: Signal, corner_hz: float, rate: int) -> Signal:
    """Return a signal through a gentle low-pass, as a short convolution."""
    keep = float(np.exp(-2 * np.pi * corner_hz / rate))
    taps = (1 - keep) * keep ** np.arange(min(512, int(12 / max(1e-6, 1 - keep)) + 1))
    return np.convolve(x, taps)[: len(x)]


def _loop(hz: float, low_s: float, high_s: float, rate: int) -> tuple[int, Signal]:
    """Return the whole part of the loop's delay and the filter that makes up the rest."""
    period = rate / hz
    whole = int(period) - 1 - _ORDER // 2
    share = period - 1 - whole  # of the interpolator, between 2 and 3 samples
    at = np.arange(_ORDER + 1)
    lagrange = np.array(
        [np.prod([(share - k) / (n - k) for k in at if k != n]) for n in at], dtype=np.float64
    )
    high_hz = min(4000.0, 0.35 * rate)
    low, high = (10 ** (-3 / (seconds * hz)) for seconds in (low_s, high_s))
    turn_low, turn_high = (1 - np.cos(2 * np.pi * f / rate) for f in (hz, high_hz))
    side = (1 - min(1.0, high / low)) / (2 * max(turn_high - turn_low * high / low, 1e-9))
    side = float(np.clip(side, 0.0, 0.25))
    gain = min(low / (1 - 2 * side * turn_low), 0.99999)
    damping = gain * np.array([side, 1 - 2 * side, side])
    return whole, np.convolve(damping, lagrange)


def _string(
    struck: Signal, hz: float, low_s: float, high_s: float, rate: int, samples: int
) -> Signal:
    """Run the delay line, a period at a time: y[n] = x[n] + sum of h[k] y[n - whole - k]."""
    whole, taps = _loop(hz, low_s, high_s, rate)
    before = whole + len(taps) - 1
    y = np.zeros(before + samples)
    count = min(len(struck), samples)
    y[before : before + count] = struck[:count]
    for start in range(before, before + samples, whole):
        stop = min(start + whole, before + samples)
        past = y[start - before : stop - whole]
        y[start:stop] += np.convolve(past, taps, "valid")
    return y[before:].copy()


def _fade_out(x: Signal, rate: int) -> None:
    """Let the last 30 ms fade, so that the end of the tone is no click."""
    count = min(len(x), round(0.03 * rate))
    x[-count:] *= np.linspace(1.0, 0.0, count)


def _dulled(x: Signal, rate: int) -> Signal:
    return _one_pole(_one_pole(x, _DULL_HZ, rate), 2 * _DULL_HZ, rate)
