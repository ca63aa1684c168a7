"""A take as hearing works on it: mono at one rate, judged before anything is said about it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gripwright.dsp.media import stream_audio
from gripwright.errors import MediaError
from gripwright.hearing.bands import RATE, Floats

MIN_S = 0.5
SILENT_DB = -60.0
_CLIPPED_SHARE = 0.003


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """Mono sound of `RATE` hertz, its mean removed; ``warnings`` say what is wrong with it."""

    samples: Floats
    warnings: tuple[str, ...] = ()

    @property
    def duration_s(self) -> float:
        """Return its length."""
        return len(self.samples) / RATE


def read_take(path: Path, *, cut_off_ok: bool = False) -> Heard:
    """Read a recording for hearing, streamed; raises MediaError when it holds nothing to hear.

    Channels are averaged; where they cancel each other, the louder one is taken.
    """
    middle: list[Floats] = []
    side: list[Floats] = []
    for block in stream_audio(path, rate=RATE, cut_off_ok=cut_off_ok):
        middle.append(block.mean(axis=1))
        if block.shape[1] == 2:
            side.append(block[:, 0])
    x = np.concatenate(middle) if middle else np.zeros(0, np.float32)
    if side:
        left = np.concatenate(side)
        if np.mean(left**2) > 10 * np.mean(x**2):
            x = left
    return judged(x, path.name)


def judged(x: Floats, name: str) -> Heard:
    """Return a mono sound ready for hearing; raises MediaError for silence or next to nothing."""
    if len(x) < MIN_S * RATE:
        raise MediaError(
            f"{name} lasts {len(x) / RATE:.2f} s, too short to hear anything in it", field="take",
            remedy=f"give at least {MIN_S} s of sound",
        )  # fmt: skip
    warnings = []
    offset = float(x.mean())
    if abs(offset) > 0.02:
        warnings.append(f"the sound sits {offset:+.2f} of full scale off its zero line; removed")
    top = float(np.abs(x).max())
    clipped = float(np.mean(np.abs(x) > 0.985 * top)) if top > 0 else 0.0
    if clipped > _CLIPPED_SHARE:
        warnings.append(f"{100 * clipped:.1f} % of the samples are clipped; pitches may mislead")
    x = np.asarray(x - np.float32(offset), np.float32)
    loudest = float(np.sqrt(_block_power(x).max()))
    if 20 * np.log10(loudest + 1e-12) < SILENT_DB:
        raise MediaError(
            f"{name} is silent: its loudest moment lies {20 * np.log10(loudest + 1e-12):.0f} dB "
            "below full scale",
            field="take", remedy="check the microphone and its level, or the track chosen",
        )  # fmt: skip
    return Heard(x, tuple(warnings))


def _block_power(x: Floats) -> Floats:
    count = max(1, len(x) // 2205)
    return np.asarray((x[: count * 2205] ** 2).reshape(count, -1).mean(axis=1))


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file, read in pieces."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while piece := file.read(1 << 20):
            digest.update(piece)
    return digest.hexdigest()
