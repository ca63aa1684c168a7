"""Recordings in: any wav, flac, mp3, m4a or ogg, or the sound of an mp4, mov or mkv.

Sound is float32, shape (samples, channels), full scale 1.0. Of more than two channels the
first two are read. Time zero is the start of the file's timeline, so that the sound of a video
stays in step with its picture: a late start and gaps come out as silence.

Files are opened by `gripwright.dsp.opening`, which lets none of them open another. Writing is in
`gripwright.dsp.sound_file` (`write_flac`, `write_mp3`, `write_wav`, `write_ogg`).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import av
import av.error
import numpy as np
import soxr  # type: ignore[import-untyped]

from gripwright.dsp.declared import declared_end_s, ogg_is_whole
from gripwright.dsp.opening import OTHERWISE, bad, opened_media

Sound = np.ndarray[Any, np.dtype[np.float32]]

MIN_RATE, MAX_RATE = 8_000, 192_000
MAX_SECONDS = 3_660
_GAP_S = 0.010  # shorter jumps of a timestamp are rounding, not silence
_CUT_S = 0.25  # containers round their length; less than this is not a cut
_BLOCK_S = 1.0
_FULL_SCALE = {"u8": 128.0, "s16": 32768.0, "s32": 2147483648.0}


@dataclass(frozen=True, slots=True)
class AudioFacts:
    """What a file says of its sound: ``duration_s`` is None where it does not say."""

    container: str
    codec: str
    rate: int
    channels: int
    duration_s: float | None


def audio_facts(path: str | Path) -> AudioFacts:
    """Read what a recording says of itself, without decoding it; raises MediaError."""
    with _opened(Path(path)) as (container, stream, _):
        duration = None if container.duration is None else container.duration / av.time_base
        context = stream.codec_context
        return AudioFacts(
            container.format.name, context.name, stream.rate, min(stream.channels, 2), duration
        )


def sound_seconds(path: str | Path) -> float:
    """Return how long a recording's sound lasts, decoded; raises MediaError as `stream_audio`."""
    rate = audio_facts(path).rate
    return sum(len(block) for block in stream_audio(path)) / rate


def origin_s(path: str | Path) -> float:
    """Return the time of the container at which the file's timeline starts, in its own seconds."""
    with _opened(Path(path)) as (container, _, _):
        return float((container.start_time or 0) / av.time_base)


def read_audio(
    path: str | Path, *, rate: int | None = None, mono: bool = False, cut_off_ok: bool = False
) -> tuple[Sound, int]:
    """Read a whole recording; return it and its rate in hertz.

    ``rate`` None keeps the file's own. An hour of stereo at 48 kHz needs 1.4 GB this way: use
    `stream_audio`, or ask for mono at a lower rate. ``cut_off_ok`` returns what is there of a
    file that ends early. Raises MediaError as `stream_audio` does.
    """
    rate = rate or audio_facts(path).rate
    blocks = list(stream_audio(path, rate=rate, mono=mono, cut_off_ok=cut_off_ok))
    return np.concatenate(blocks), rate


def stream_audio(
    path: str | Path, *, rate: int | None = None, mono: bool = False, cut_off_ok: bool = False,
    longest_s: float = MAX_SECONDS,
) -> Iterator[Sound]:  # fmt: skip
    """Yield a recording in blocks of about a second, shape (samples, channels).

    Raises MediaError for a file that is missing, empty, no recording, without sound, cut off,
    longer than ``longest_s`` (an hour), of another rate than 8 to 192 kHz, or that holds samples
    that are no numbers. Silence is no error.
    """
    path = Path(path)
    with _opened(path) as (container, stream, whole):
        source = stream.rate
        meter = _Meter(path, source, longest_s)
        blocks = _gathered(meter.checked(_placed(container, stream, meter)), source)
        if mono:
            blocks = (block.mean(axis=1, keepdims=True) for block in blocks)
        yield from _resampled(blocks, source, rate or source)
        if not meter.samples:
            raise bad(path, "has no sound in it that can be decoded", OTHERWISE["audio"])
        if not cut_off_ok:
            meter.complain_if_cut(whole)


@contextmanager
def _opened(path: Path) -> Iterator[tuple[Any, Any, float | None]]:
    """Open a recording; yield container, audio stream and the second at which it should end.

    The end is infinite where the file shows that it was cut, None where it says nothing.
    """
    with opened_media(path, "audio") as (container, stream):
        if stream is None:
            raise bad(path, "has no sound track", "choose the file that holds the sound")
        _check_rate(path, stream.rate)
        yield container, stream, _whole_end_s(path, container)


def _check_rate(path: Path, rate: int) -> None:
    if not MIN_RATE <= rate <= MAX_RATE:
        raise bad(
            path, f"is sampled at {rate} Hz", f"use {MIN_RATE // 1000} to {MAX_RATE // 1000} kHz"
        )


def _whole_end_s(path: Path, container: Any) -> float | None:
    if container.format.name == "ogg":
        return None if ogg_is_whole(path) else float("inf")
    return declared_end_s(path, container)


class _Meter:
    """Count what came out of a file, and judge it."""

    def __init__(self, path: Path, rate: int, longest_s: float) -> None:
        self.path, self.rate, self.longest_s = path, rate, longest_s
        self.samples = 0
        self.end_s = 0.0

    def checked(self, frames: Iterator[Sound]) -> Iterator[Sound]:
        """Pass frames on; raise MediaError at the first bad sample or past the hour."""
        for frame in frames:
            if not np.isfinite(frame).all():
                where = int(np.argmin(np.isfinite(frame).all(axis=1))) + self.samples
                at = f"{where / self.rate:.3f} s"
                raise bad(
                    self.path, f"holds samples that are no numbers, the first at {at}",
                    "export it again from the program that made it",
                )  # fmt: skip
            self.samples += len(frame)
            if self.samples > self.longest_s * self.rate:
                raise bad(self.path, "is longer than an hour", "cut it into shorter recordings")
            yield frame

    def complain_if_cut(self, whole_s: float | None) -> None:
        """Raise MediaError if the file ends before the second at which it should."""
        have = max(self.end_s, self.samples / self.rate)
        if whole_s is None or have >= whole_s - _CUT_S:
            return
        said = "" if whole_s == float("inf") else f" of the {whole_s:.1f} s that it announces"
        raise bad(
            self.path, f"is cut off: it holds {have:.1f} s{said}",
            "copy it again, or go on with what is there where that is offered",
        )  # fmt: skip


def _placed(container: Any, stream: Any, meter: _Meter) -> Iterator[Sound]:
    """Yield decoded frames, with silence where the timeline has a gap."""
    origin_s = (container.start_time or 0) / av.time_base
    channels = min(max(stream.channels, 1), 2)
    written = 0
    for frame in _decoded(container, stream, meter):
        if frame.sample_rate != meter.rate:
            raise bad(meter.path, "changes its sample rate on the way", OTHERWISE["audio"])
        if frame.time is not None:
            gap = round((frame.time - origin_s) * meter.rate) - written
            if gap > _GAP_S * meter.rate:
                gap = min(gap, MAX_SECONDS * meter.rate)
                for done in range(0, gap, meter.rate):  # never much at once
                    yield np.zeros((min(meter.rate, gap - done), channels), np.float32)
                written += gap
        block = _as_float(frame, meter.path)
        if block.shape[1] != channels:  # a damaged or joined file may change on the way
            block = block[:, :1].repeat(channels, axis=1)
        written += len(block)
        yield block


def _decoded(container: Any, stream: Any, meter: _Meter) -> Iterator[Any]:
    """Yield the frames of a stream; a packet that cannot be decoded leaves a gap."""
    try:
        for packet in container.demux():
            if packet.pts is not None and packet.time_base:
                end = (packet.pts + (packet.duration or 0)) * packet.time_base
                meter.end_s = max(meter.end_s, float(end))
            if packet.stream.index == stream.index:
                try:
                    yield from packet.decode()
                except av.error.InvalidDataError:
                    continue
    except av.error.FFmpegError:
        return  # the file breaks off; what it announces is compared afterwards


def _as_float(frame: Any, path: Path) -> Sound:
    """Return a frame as float32, shape (samples, at most 2 channels)."""
    kind = frame.format.name.removesuffix("p")
    if kind not in ("flt", "dbl", *_FULL_SCALE):
        raise bad(path, f"has samples of a kind that is not read ({kind})", OTHERWISE["audio"])
    data = frame.to_ndarray()
    if not frame.format.is_planar:
        data = data.reshape(-1, frame.layout.nb_channels).T
    data = data[:2].T
    if kind in ("flt", "dbl"):
        return np.ascontiguousarray(data, np.float32)
    offset = 128.0 if kind == "u8" else 0.0
    scaled: Sound = ((data - np.float64(offset)) / _FULL_SCALE[kind]).astype(np.float32)
    return scaled


def _gathered(frames: Iterator[Sound], rate: int) -> Iterator[Sound]:
    """Join frames into blocks of about a second."""
    held: list[Sound] = []
    count = 0
    for frame in frames:
        held.append(frame)
        count += len(frame)
        if count >= _BLOCK_S * rate:
            yield np.concatenate(held)
            held, count = [], 0
    if held:
        yield np.concatenate(held)


def _resampled(blocks: Iterator[Sound], source: int, target: int) -> Iterator[Sound]:
    """Resample a stream of blocks, without a seam between them."""
    if source == target:
        yield from blocks
        return
    resampler: Any = None
    channels = 1
    for block in blocks:
        if resampler is None:
            channels = block.shape[1]
            resampler = soxr.ResampleStream(source, target, channels, dtype="float32")
        yield resampler.resample_chunk(block).reshape(-1, channels)
    if resampler is not None:
        rest = np.zeros((0, channels), np.float32)
        yield resampler.resample_chunk(rest, last=True).reshape(-1, channels)
