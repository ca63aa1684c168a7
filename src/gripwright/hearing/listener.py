"""Hear which pitches a stroke holds: the learned model, run in plain numpy.

The weights (``notes.npz``) come from ``scripts/train_hearing.py``; docs/hearing.md is the model
card. Features are five looks at the sound about a stroke: before it, three lengths from it, and
later while it rings, in bands of the take's own tuning, in decibels below the loudest band.
"""

from __future__ import annotations

from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import BANDS, RATE, Floats, band_matrix, powers

CHANNELS = 5
PITCHES = 58
FLOOR_DB = 70.0
BLOCK = 256
_HARMONICS = (1 / 3, 1 / 2, 1, 2, 3, 4, 5, 6, 7, 8)
DILATIONS = (1, 12, 1, 7, 19, 1)
"""How many semitones apart each block of the model looks: neighbours, or intervals of partials."""


def _harmonic_bands() -> NDArray[np.int64]:
    """Return the band of each harmonic of each pitch, BANDS (a band of zeros) where off."""
    centres = 3 * np.arange(PITCHES) + 1
    bands = centres[:, None] + np.round(36 * np.log2(np.array(_HARMONICS))).astype(np.int64)
    return np.where((bands >= 0) & (bands < BANDS), bands, BANDS)


HARMONIC_BANDS = _harmonic_bands()


def features(x: Floats, starts: NDArray[np.int64], ends: NDArray[np.int64],
             cents: float = 0.0) -> Floats:  # fmt: skip
    """Return features [strokes, CHANNELS, BANDS] of strokes given by their samples.

    ``ends`` are where the next stroke begins; looks never reach past them.
    """
    blocks = [
        _features(x, starts[at : at + BLOCK], ends[at : at + BLOCK], cents)
        for at in range(0, len(starts), BLOCK)
    ]
    return np.concatenate(blocks) if blocks else np.empty((0, CHANNELS, BANDS), np.float32)


def _features(
    x: Floats, starts: NDArray[np.int64], ends: NDArray[np.int64], cents: float
) -> Floats:
    matrix = band_matrix(round(cents, 1))
    length = np.maximum(ends - starts, 1024)
    short = np.minimum(length, 8192)
    late = np.minimum(length - int(0.2 * RATE), 16384)
    has = late >= 6144
    body = np.maximum(short - 200, 1024)
    spans = (
        (starts - 8192 - 200, np.full_like(starts, 8192)),
        (starts, np.minimum(length, 2048)),
        (starts, np.minimum(length, 4096)),
        (starts + 200, body),
        (np.where(has, starts + int(0.2 * RATE), starts + 200), np.where(has, late, body)),
    )
    power = np.empty((len(starts), CHANNELS, BANDS), np.float32)
    for channel, (begin, count) in enumerate(spans):
        # lengths are rounded to 256 samples so that strokes of like length share a transform
        count = np.maximum(count // 256, 4) * 256
        for size in np.unique(count):
            rows = np.flatnonzero(count == size)
            power[rows, channel] = powers(x, begin[rows], int(size)) @ matrix
    top = np.maximum(power[:, 1:].max(axis=(1, 2), keepdims=True), 1e-12)
    decibels = 10 * np.log10(power / top + 1e-9)
    return np.asarray(np.clip(1 + decibels / FLOOR_DB, 0, 1.2), np.float32)


@lru_cache(maxsize=1)
def weights() -> dict[str, Floats] | None:
    """Return the model's weights, None where they were not installed."""
    path = resources.files("gripwright.hearing") / "notes.npz"
    if not path.is_file():
        return None
    with path.open("rb") as file, np.load(file) as data:
        return {key: data[key].astype(np.float32) for key in data.files}


def pitch_logits(seen: Floats) -> Floats:
    """Return logits [strokes, 2, PITCHES]: struck now, and sounding; pitch 0 is LOW_MIDI."""
    model = weights()
    assert model is not None
    out = [_forward(model, seen[at : at + 32]) for at in range(0, len(seen), 32)]
    return np.concatenate(out) if out else np.empty((0, 2, PITCHES), np.float32)


def _forward(model: dict[str, Floats], x: Floats) -> Floats:
    for name in "ab":
        x = _relu(_convolve(x, model[f"{name}_w"], model[f"{name}_b"], 1))
    padded = np.pad(x, ((0, 0), (0, 0), (0, 1)))
    x = padded[:, :, HARMONIC_BANDS].transpose(0, 1, 3, 2).reshape(len(x), -1, PITCHES)
    x = _relu(_convolve(x, model["c_w"], model["c_b"], 1))
    for number, dilation in enumerate(DILATIONS):
        name = f"block{number}"
        x = x + _relu(_convolve(x, model[f"{name}_w"], model[f"{name}_b"], dilation))
    whole = np.concatenate([x.mean(2, keepdims=True), x.max(2, keepdims=True)], 1)
    x = x + _relu(_convolve(whole, model["pool_w"], model["pool_b"], 1))
    return _convolve(x, model["out_w"], model["out_b"], 1)


def _relu(x: Floats) -> Floats:
    return np.maximum(x, 0)


def _convolve(x: Floats, weight: Floats, bias: Floats, dilation: int) -> Floats:
    """Return the same-length convolution of [batch, in, n] with [out, in, taps].

    Rows of a batch lie behind each other with silence between, so that each tap is one product
    of matrices over all of them; what falls between rows is dropped.
    """
    outs, ins, taps = weight.shape
    if taps == 1:
        return np.asarray(np.matmul(weight[:, :, 0], x) + bias[:, None])
    batch, _, length = x.shape
    reach = dilation * (taps // 2)
    rows = np.zeros((ins, batch, length + 2 * reach), np.float32)
    rows[:, :, reach : reach + length] = x.transpose(1, 0, 2)
    flat = rows.reshape(ins, -1)
    count = flat.shape[1] - 2 * reach
    out = np.zeros((outs, batch, length + 2 * reach), np.float32)
    total = out.reshape(outs, -1)[:, :count]
    for tap in range(taps):
        start = tap * dilation
        total += np.ascontiguousarray(weight[:, :, tap]) @ flat[:, start : start + count]
    return np.asarray((out[:, :, :length] + bias[:, None, None]).transpose(1, 0, 2))
