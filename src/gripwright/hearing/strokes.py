"""What each stroke of a take holds: log-odds for every pitch, by the model or by plain means.

The plain way fits a non-negative mixture of harmonic templates (Lee and Seung's multiplicative
updates, NIPS 2000); it serves where the learned weights are missing and as the evaluation's
peer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import BANDS, LOW_MIDI, RATE, Floats
from gripwright.hearing.listener import BLOCK, PITCHES, features, pitch_logits, weights
from gripwright.hearing.onsets import Strokes, find_strokes
from gripwright.hearing.sound import Heard
from gripwright.hearing.tuning import tuning_cents

UNSTRUCK = -0.5
"""Log-odds below which no string is taken to be struck."""


@dataclass(frozen=True, slots=True, eq=False)
class Stroked:
    """Strokes and what each holds: log-odds [strokes, PITCHES], pitch 0 is MIDI `LOW_MIDI`.

    ``struck`` is for pitches struck then, ``sounding`` for all that sound; ``ends_s`` is where
    the next stroke begins.
    """

    strokes: Strokes
    ends_s: NDArray[np.float64]
    struck: Floats
    sounding: Floats
    level_db: Floats
    tuning_cents: float
    duration_s: float


def listen(
    heard: Heard, *, plain: bool = False, sensitivity: float = 1.0,
    told: Callable[[float], None] = lambda share: None,
) -> Stroked:  # fmt: skip
    """Find the strokes of a take and hear what each holds; ``told`` hears how far it is.

    Attacks in which the model hears no string struck (a click, a consonant, strings that beat)
    are left out, and what they cut short is heard again.
    """
    x = heard.samples
    cents = tuning_cents(x)
    strokes = find_strokes(x, sensitivity)
    starts, ends = _spans(strokes, len(x))
    if plain or weights() is None:
        struck = sounding = plain_logits(features(x, starts, ends, cents))
    else:
        logits = _logits(x, starts, ends, cents, told)
        real = logits[:, 0].max(axis=1, initial=-9.0) > UNSTRUCK
        strokes, logits, before = strokes.only(real), logits[real], ends[real]
        starts, ends = _spans(strokes, len(x))
        again = np.flatnonzero(ends != before)
        if len(again):
            logits[again] = pitch_logits(features(x, starts[again], ends[again], cents))
        struck, sounding = logits[:, 0], logits[:, 1]
    return Stroked(
        strokes, ends / RATE, struck, sounding, _levels(x, starts, ends), cents, heard.duration_s
    )


def _logits(
    x: Floats, starts: NDArray[np.int64], ends: NDArray[np.int64], cents: float,
    told: Callable[[float], None],
) -> Floats:  # fmt: skip
    """Return the model's logits of all strokes, a block at a time."""
    blocks = [np.empty((0, 2, PITCHES), np.float32)]
    for at in range(0, len(starts), BLOCK):
        part = slice(at, at + BLOCK)
        blocks.append(pitch_logits(features(x, starts[part], ends[part], cents)))
        told(min(1.0, (at + BLOCK) / len(starts)))
    return np.concatenate(blocks)


def _spans(strokes: Strokes, count: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return where each stroke starts and where the next does, in samples."""
    starts = np.round(strokes.first_s * RATE).astype(np.int64)
    return starts, np.append(starts[1:], count).astype(np.int64)[: len(starts)]


def _levels(x: Floats, starts: NDArray[np.int64], ends: NDArray[np.int64]) -> Floats:
    """Return the level of the first fifth of a second of each stroke, in decibels."""
    stops = np.minimum(ends, starts + RATE // 5)
    mean = [float(np.mean(x[a : max(b, a + 1)] ** 2)) for a, b in zip(starts, stops, strict=True)]
    return np.asarray(10 * np.log10(np.array(mean) + 1e-12), np.float32)


@lru_cache(maxsize=1)
def templates() -> Floats:
    """Return the spectrum of each pitch by bands, [PITCHES, BANDS]: partials falling by 0.72."""
    out = np.zeros((PITCHES, BANDS), np.float32)
    for pitch in range(PITCHES):
        for partial in range(1, 13):
            at = 3 * pitch + 1 + 36 * np.log2(partial)
            for band in range(max(0, int(at) - 2), min(BANDS, int(at) + 4)):
                out[pitch, band] += 0.72 ** (partial - 1) * np.exp(-(((band - at) / 0.9) ** 2))
    return np.asarray(out / np.linalg.norm(out, axis=1, keepdims=True), np.float32)


def plain_logits(seen: Floats, steps: int = 60) -> Floats:
    """Return log-odds of pitches by the non-negative fit, from `features`."""
    level = 10 ** ((np.maximum(seen[:, 3], 0) - 1) * 70 / 20)
    level = np.sqrt(level) - 10 ** (-70 / 40)
    basis = templates()
    gains = np.maximum(level @ basis.T, 1e-6)
    gram = basis @ basis.T
    target = level @ basis.T
    for _ in range(steps):
        gains *= target / np.maximum(gains @ gram, 1e-9)
    share = gains / np.maximum(gains.max(axis=1, keepdims=True), 1e-9)
    return np.asarray(6 * np.log(np.maximum(share, 1e-3) / 0.5), np.float32)


def pitch_places(midi: tuple[int, ...]) -> NDArray[np.int64]:
    """Return the model's pitch numbers of MIDI numbers, those out of its range left out."""
    places = np.array(sorted({m - LOW_MIDI for m in midi}), np.int64)
    return places[(places >= 0) & (places < PITCHES)]
