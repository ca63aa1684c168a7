"""A plain time stretch: overlapping windows, each taken where it fits best (WSOLA).

Verhelst and Roelands, "An overlap-add technique based on waveform similarity", ICASSP 1993. The
next window is taken near its place in the input, at the lag where it looks most like what would
have followed the window before; so waves go on without a seam, and nothing drifts. Attacks are
found first: every window that holds one is taken where the attack falls on its stretched time,
and no other window reaches into it, so that attacks are neither moved nor heard twice.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Any

import numpy as np

Signal = np.ndarray[Any, np.dtype[Any]]

_WINDOW_S, _SEARCH_S = 0.050, 0.012
_STEP_S, _RISE_DB, _FLOOR_DB, _APART = 0.004, 6.0, -40.0, 10


def overlapped(x: Signal, rate: int, count: int) -> np.ndarray[Any, np.dtype[np.float32]]:
    """Return x of shape (samples, channels) stretched to ``count`` samples."""
    hop = max(16, round(_WINDOW_S * rate / 2))
    size, reach = 2 * hop, max(1, round(_SEARCH_S * rate))
    pad = size + reach
    padded = np.zeros((len(x) + 2 * pad + size, x.shape[1]))
    padded[pad : pad + len(x)] = x
    mono = padded.mean(axis=1)
    window = 0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(size) + 0.5) / size)
    attacks = [pad + at for at in attack_samples(x.mean(axis=1), rate)]
    ratio = count / len(x)
    frames = -(-count // hop) + 1
    out = np.zeros(((frames + 1) * hop, x.shape[1]))
    falls = [(at - pad) * ratio + hop for at in attacks]  # where attacks fall in `out`
    place = pad - hop
    for frame in range(frames):
        start = frame * hop
        after = bisect_left(falls, start)
        if after < len(falls) and falls[after] < start + size:
            place = attacks[after] - round(falls[after] - start)
        elif frame:
            want = pad - hop + round(start / ratio)
            low = attacks[after - 1] if after else 0
            high = attacks[after] - size if after < len(attacks) else len(mono) - size
            place = _best_place(mono, place + hop, (want - reach, want + reach), (low, high), size)
        place = min(max(place, 0), len(padded) - size)
        out[start : start + size] += window[:, None] * padded[place : place + size]
    return out[hop : hop + count].astype(np.float32)


def attack_samples(mono: Signal, rate: int) -> Sequence[int]:
    """Return where the level of a sound jumps: by 6 dB over what was in the 40 ms before."""
    step = max(1, round(_STEP_S * rate))
    count = len(mono) // step
    if count <= _APART:
        return ()
    power = np.mean(mono[: count * step].reshape(count, step) ** 2, axis=1)
    level = 10 * np.log10(power + 1e-12)
    before = np.max([np.roll(level, shift) for shift in range(1, _APART + 1)], axis=0)
    before[:_APART] = level.max()
    jumps = (level > before + _RISE_DB) & (level > level.max() + _FLOOR_DB)
    found: list[int] = []
    for at in np.flatnonzero(jumps):
        if not found or at * step - found[-1] > _APART * step:
            within = np.abs(mono[at * step : (at + 1) * step])
            found.append(int(at * step + np.argmax(within > within.max() / 4)))
    return found


def _best_place(
    mono: Signal, follows: int, within: tuple[int, int], bounds: tuple[int, int], size: int
) -> int:
    """Return the place within reach and bounds at which the input best goes on."""
    low, high = max(within[0], bounds[0], 0), min(within[1], bounds[1], len(mono) - size)
    if high <= low:
        nearest = min(max(within[0], bounds[0]), bounds[1])
        return nearest
    target = mono[follows : follows + size]
    around = mono[low : high + size]
    length = 1 << (len(around) + len(target) - 1).bit_length()
    spectrum = np.fft.rfft(around, length) * np.conj(np.fft.rfft(target, length))
    match = np.fft.irfft(spectrum, length)[: high - low + 1]
    energy = np.concatenate([[0.0], np.cumsum(around**2)])
    power = energy[len(target) :][: len(match)] - energy[: len(match)]
    return low + int(np.argmax(match / np.sqrt(np.maximum(power, 1e-9))))
