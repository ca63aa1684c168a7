"""A take as hearing works on it: mono at one rate, judged before anything is said about it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soxr  # type: ignore[import-untyped]

from gripwright.dsp.media import audio_facts, stream_audio
from gripwright.errors import MediaError
from gripwright.hearing.bands import RATE, Floats

MIN_S = 0.5
SILENT_DB = -60.0
FULL_SCALE, CLIPPED_SHARE = 0.9985, 0.002


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

    Channels are averaged; where they cancel each other, the left one is taken.
    """
    x, cancels, clipped = _streamed(path, cut_off_ok, (0.5, 0.5))
    if cancels:
        x, _, clipped = _streamed(path, cut_off_ok, (1.0, 0.0))
    heard = judged(x, path.name)
    if clipped <= CLIPPED_SHARE:
        return heard
    warning = f"{100 * clipped:.1f} % of the samples are clipped; pitches may mislead"
    return Heard(heard.samples, (warning, *heard.warnings))


def _streamed(path: Path, cut_off_ok: bool, mix: tuple[float, float]) -> tuple[Floats, bool, float]:
    """Return the mixed channels at `RATE`, whether the mix cancels, and the clipped share.

    Only the mix is kept: an hour has to fit.
    """
    resampler = soxr.ResampleStream(audio_facts(path).rate, RATE, 1, dtype="float32")
    pieces: list[Floats] = []
    clipped = samples = 0
    left_power = mixed_power = 0.0
    for block in stream_audio(path, cut_off_ok=cut_off_ok):
        samples += block.size
        clipped += int((np.abs(block) >= FULL_SCALE).sum())
        stereo = block.shape[1] == 2
        mono = block @ np.array(mix, np.float32) if stereo else block[:, 0]
        left_power += float(np.sum(block[:, 0] ** 2))
        mixed_power += float(np.sum(mono**2))
        pieces.append(resampler.resample_chunk(mono).reshape(-1))
    pieces.append(resampler.resample_chunk(np.zeros(0, np.float32), last=True).reshape(-1))
    return np.concatenate(pieces), left_power > 10 * mixed_power, clipped / max(samples, 1)


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
    if abs(offset) > 1e-5:
        x = x - np.float32(offset)
    loudest = float(np.sqrt(_block_power(x).max()))
    if 20 * np.log10(loudest + 1e-12) < SILENT_DB:
        raise MediaError(
            f"{name} is silent: its loudest moment lies {-20 * np.log10(loudest + 1e-12):.0f} dB "
            "below full scale",
            field="take", remedy="check the microphone and its level, or the track chosen",
        )  # fmt: skip
    return Heard(x, tuple(warnings))


def _block_power(x: Floats) -> Floats:
    count = max(1, len(x) // 2205)
    blocks = x[: count * 2205].reshape(count, -1)
    return np.asarray(np.einsum("ij,ij->i", blocks, blocks) / 2205)


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file, read in pieces."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while piece := file.read(1 << 20):
            digest.update(piece)
    return digest.hexdigest()
