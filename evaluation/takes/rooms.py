"""Everything between the strings and the file: room, talk, noise, pedals, a click that bleeds.

All made from a seeded generator; no recording of a voice or a room is used.
"""

from __future__ import annotations

import numpy as np

Samples = np.ndarray


def room(x: Samples, rate: int, rng: np.random.Generator, rt60_s: float, wet: float) -> Samples:
    """Return the sound in a room: a few early echoes and a tail that decays by 60 dB."""
    count = int(rate * rt60_s)
    tail = rng.standard_normal(count) * 10 ** (-3 * np.arange(count) / count)
    tail = np.convolve(tail, np.ones(8) / 8, "same")  # air and curtains take the highest
    tail[: int(0.01 * rate)] = 0
    for delay_s in rng.uniform(0.003, 0.03, 5):
        tail[int(delay_s * rate)] += rng.uniform(1, 3) * rng.choice([-1, 1])
    tail /= np.sqrt(np.sum(tail**2))
    size = 1 << int(np.ceil(np.log2(len(x) + count)))
    echo = np.fft.irfft(np.fft.rfft(x, size) * np.fft.rfft(tail, size), size)[: len(x)]
    return x + wet * echo


def equalised(x: Samples, rate: int, rng: np.random.Generator, depth_db: float) -> Samples:
    """Return the sound through a smooth random frequency response (a pickup, a phone)."""
    size = 1 << int(np.ceil(np.log2(len(x) + 1)))
    hz = np.fft.rfftfreq(size, 1 / rate)
    octaves = np.log2(np.maximum(hz, 30) / 30)
    gains = np.interp(octaves, np.arange(11), rng.normal(0, depth_db, 11))
    return np.fft.irfft(np.fft.rfft(x, size) * 10 ** (gains / 20), size)[: len(x)]


def noise(x: Samples, rng: np.random.Generator, snr_db: float) -> Samples:
    """Return the sound with pinkish noise at a ratio to its mean power."""
    spectrum = np.fft.rfft(rng.standard_normal(len(x)))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), 20))
    hiss = np.fft.irfft(spectrum, len(x))
    return x + hiss * np.sqrt(np.mean(x**2) / np.mean(hiss**2)) * 10 ** (-snr_db / 20)


def drive(x: Samples, amount: float) -> Samples:
    """Return the sound through a soft clipper; ``amount`` 0 is clean, 1 strong."""
    level = np.percentile(np.abs(x), 99) + 1e-9
    return np.tanh(x / level * (0.2 + 4 * amount)) * level / np.tanh(0.2 + 4 * amount)


def flanger(x: Samples, rate: int, rng: np.random.Generator) -> Samples:
    """Return the sound with a copy of itself whose delay swings between 1 and 6 ms."""
    at = np.arange(len(x))
    swing = 0.0035 + 0.0025 * np.sin(2 * np.pi * rng.uniform(0.15, 0.6) * at / rate)
    return 0.6 * x + 0.5 * np.interp(at - swing * rate, at, x, left=0.0)


def talk(seconds: float, rate: int, rng: np.random.Generator) -> Samples:
    """Return babble: voiced and unvoiced syllables through three moving resonances."""
    out = np.zeros(int(seconds * rate))
    at = 0.1
    while at < seconds - 0.3:
        length = rng.uniform(0.08, 0.28)
        count = int(length * rate)
        time = np.arange(count) / rate
        pitch = rng.uniform(90, 220) * (1 + 0.1 * np.sin(2 * np.pi * rng.uniform(1, 4) * time))
        phase = np.cumsum(2 * np.pi * pitch / rate)
        voiced = rng.random() < 0.8
        source = sum(np.sin(k * phase) / k for k in range(1, 30)) if voiced else None
        source = rng.standard_normal(count) if source is None else source
        spectrum = np.fft.rfft(source)
        hz = np.fft.rfftfreq(count, 1 / rate)
        centres = (rng.uniform(300, 800), rng.uniform(900, 2200), rng.uniform(2300, 3200))
        gain = sum(1 / (1 + ((hz - c) / 120) ** 2) for c in centres)
        syllable = np.fft.irfft(spectrum * gain, count) * np.hanning(count)
        start = int(at * rate)
        out[start : start + count] += syllable[: len(out) - start]
        at += length + (rng.uniform(0.02, 0.08) if rng.random() < 0.8 else rng.uniform(0.2, 0.6))
    return out / (np.abs(out).max() + 1e-9)


def clicks(times_s: Samples, length: int, rate: int, rng: np.random.Generator) -> Samples:
    """Return short woody clicks at the given times, the first of each four higher."""
    out = np.zeros(length)
    time = np.arange(int(0.03 * rate)) / rate
    for index, at in enumerate(times_s):
        hz = 1800 if index % 4 == 0 else 1300
        start = int(at * rate)
        if 0 <= start < length - len(time):
            out[start : start + len(time)] += np.sin(2 * np.pi * hz * time) * np.exp(-time * 200)
    return out
