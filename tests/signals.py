"""Signals and measurements that several tests of sound share; all in closed form."""

from __future__ import annotations

from typing import Any

import numpy as np


def sine(rate: int, seconds: float, hz: float = 440.0, level: float = 0.5) -> Any:
    """Return a mono sine, shape (samples,)."""
    return level * np.sin(2 * np.pi * hz * np.arange(round(rate * seconds)) / rate)


def peak_hz(x: Any, rate: int, near: float | None = None) -> float:
    """Return the strongest frequency of a mono signal, within a semitone of ``near`` if given."""
    size = 1 << (8 * len(x)).bit_length()
    spectrum = np.abs(np.fft.rfft(x * np.hanning(len(x)), size))
    hz = np.fft.rfftfreq(size, 1 / rate)
    if near is not None:
        spectrum[np.abs(12 * np.log2(np.maximum(hz, 1e-9) / near)) > 1] = 0.0
    at = int(np.argmax(spectrum))
    a, b, c = np.log(spectrum[at - 1 : at + 2] + 1e-30)
    return float((at + 0.5 * (a - c) / (a - 2 * b + c)) * rate / size)


def cents(hz: float, reference: float) -> float:
    """Return how far a frequency lies above a reference."""
    return float(1200 * np.log2(hz / reference))


def midi_hz(midi: float) -> float:
    """Return the frequency of a MIDI number in equal temperament, A4 = 440 Hz (ISO 16)."""
    return float(440.0 * 2 ** ((midi - 69) / 12))
