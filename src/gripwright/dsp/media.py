"""Recordings in: any wav, flac, mp3, m4a or ogg, or the sound of an mp4, mov or mkv.

Sound is float32, shape (samples, channels), full scale 1.0. Of more than two channels the
first two are read. Time zero is the start of the file's timeline, so that the sound of a video
stays in step with its picture: a late start and gaps come out as silence.

A media file is code to its reader: playlists, concatenation scripts and session descriptions
make a reader open other files or addresses. So the file is handed over as an open handle,
containers and codecs go by whitelist, and any further opening is refused.

Writing is in `gripwright.dsp.sound_file` (`write_flac`, `write_mp3`, `write_wav`, `write_ogg`).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

import av
import av.error
import numpy as np
import soxr  # type: ignore[import-untyped]

from gripwright.dsp.declared import declared_end_s, ogg_is_whole
from gripwright.errors import MediaError
from gripwright.files import shown, why_unreadable

Sound = np.ndarray[Any, np.dtype[np.float32]]

MIN_RATE, MAX_RATE = 8_000, 192_000
MAX_SECONDS = 3_660
_CONTAINERS = "wav,flac,mp3,ogg,mov,mp4,m4a,3gp,3g2,mj2,matroska,webm"
_CODECS = (
    "aac,aac_fixed,alac,flac,mp3,mp3float,opus,libopus,vorbis,libvorbis,ac3,eac3,pcm_u8,pcm_s16le,"
    "pcm_s16be,pcm_s24le,pcm_s24be,pcm_s32le,pcm_s32be,pcm_f32le,pcm_f32be,pcm_f64le,pcm_f64be"
)
_OTHERWISE = "export it as wav or flac, 16 or 24 bits"
_KINDS = "wav, flac, mp3, m4a, ogg, mp4, mov or mkv"
_MAGIC = (b"RIFF", b"RF64", b"fLaC", b"OggS", b"\x1a\x45\xdf\xa3")
_MP4_BOXES = (b"ftyp", b"moov", b"mdat", b"wide", b"free")
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
    path: str | Path, *, rate: int | None = None, mono: bool = False, cut_off_ok: bool = False
) -> Iterator[Sound]:
    """Yield a recording in blocks of about a second, shape (samples, channels).

    Raises MediaError for a file that is missing, empty, no recording, without sound, cut off,
    longer than an hour, of another rate than 8 to 192 kHz, or that holds samples that are no
    numbers. Silence is no error.
    """
    path = Path(path)
    with _opened(path) as (container, stream, whole):
        source = stream.rate
        meter = _Meter(path, source)
        blocks = _gathered(meter.checked(_placed(container, stream, meter)), source)
        if mono:
            blocks = (block.mean(axis=1, keepdims=True) for block in blocks)
        yield from _resampled(blocks, source, rate or source)
        if not meter.samples:
            raise _bad(path, "has no sound in it that can be decoded", _OTHERWISE)
        if not cut_off_ok:
            meter.complain_if_cut(whole)


@contextmanager
def _opened(path: Path) -> Iterator[tuple[Any, Any, float | None]]:
    """Open a recording; yield container, audio stream and the second at which it should end.

    The end is infinite where the file shows that it was cut, None where it says nothing.
    """
    try:
        other = why_unreadable(path)
        if other is not None:
            raise _bad(path, *other)
        with path.open("rb") as handle:
            if not handle.read(1):
                raise _bad(path, "is empty (0 bytes)", "copy or export it again")
            handle.seek(0)
            options = {"format_whitelist": _CONTAINERS, "codec_whitelist": _CODECS}
            with av.open(
                handle, options=options, metadata_errors="replace", io_open=_refuse
            ) as container:
                stream: Any = container.streams.best("audio")
                if stream is None:
                    raise _bad(path, "has no sound track", "choose the file that holds the sound")
                if stream.codec_context is None:
                    raise _bad(path, "holds sound in a coding that is not read", _OTHERWISE)
                _check_rate(path, stream.rate)
                yield container, stream, _whole_end_s(path, container)
    except av.error.FFmpegError as error:
        raise _unreadable(path) from error
    except OSError as error:
        raise _bad(
            path, f"cannot be opened: {error.strerror}", f"give the path of a {_KINDS} file"
        ) from error


def _unreadable(path: Path) -> MediaError:
    """Return the error of a file that no allowed container could open."""
    with path.open("rb") as handle:
        head = handle.read(12)
    if head[4:8] in _MP4_BOXES or head[:4] in _MAGIC or head[:3] == b"ID3":
        return _bad(path, "is damaged or cut off before its sound", "copy or export it again")
    return _bad(path, "is not a recording that can be read", f"give a {_KINDS} file")


def _refuse(url: str, flags: int, options: dict[str, str]) -> NoReturn:
    """Refuse to open anything that a media file asks for."""
    raise PermissionError(1, "a recording must not open another file", url)


def _check_rate(path: Path, rate: int) -> None:
    if not MIN_RATE <= rate <= MAX_RATE:
        raise _bad(
            path, f"is sampled at {rate} Hz", f"use {MIN_RATE // 1000} to {MAX_RATE // 1000} kHz"
        )


def _whole_end_s(path: Path, container: Any) -> float | None:
    if container.format.name == "ogg":
        return None if ogg_is_whole(path) else float("inf")
    return declared_end_s(path, container)


class _Meter:
    """Count what came out of a file, and judge it."""

    def __init__(self, path: Path, rate: int) -> None:
        self.path, self.rate = path, rate
        self.samples = 0
        self.end_s = 0.0

    def checked(self, frames: Iterator[Sound]) -> Iterator[Sound]:
        """Pass frames on; raise MediaError at the first bad sample or past the hour."""
        for frame in frames:
            if not np.isfinite(frame).all():
                where = int(np.argmin(np.isfinite(frame).all(axis=1))) + self.samples
                at = f"{where / self.rate:.3f} s"
                raise _bad(
                    self.path, f"holds samples that are no numbers, the first at {at}",
                    "export it again from the program that made it",
                )  # fmt: skip
            self.samples += len(frame)
            if self.samples > MAX_SECONDS * self.rate:
                raise _bad(self.path, "is longer than an hour", "cut it into shorter recordings")
            yield frame

    def complain_if_cut(self, whole_s: float | None) -> None:
        """Raise MediaError if the file ends before the second at which it should."""
        have = max(self.end_s, self.samples / self.rate)
        if whole_s is None or have >= whole_s - _CUT_S:
            return
        said = "" if whole_s == float("inf") else f" of the {whole_s:.1f} s that it announces"
        raise _bad(
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
            raise _bad(meter.path, "changes its sample rate on the way", _OTHERWISE)
        if frame.time is not None:
            gap = round((frame.time - origin_s) * meter.rate) - written
            if gap > _GAP_S * meter.rate:
                gap = min(gap, MAX_SECONDS * meter.rate)
                yield np.zeros((gap, channels), np.float32)
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
        raise _bad(path, f"has samples of a kind that is not read ({kind})", _OTHERWISE)
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


def _bad(path: Path, reason: str, remedy: str | None = None) -> MediaError:
    return MediaError(f"{shown(path)} {reason}", field="take", at=str(path), remedy=remedy)
