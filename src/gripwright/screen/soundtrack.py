"""The sound of a video: AAC whose decoded peaks stay under a ceiling.

A lossy encoder moves peaks, so the headroom that it needs is known only afterwards: the track
is encoded, decoded, measured (ITU-R BS.1770-4, annex 2), and where it is over the ceiling
encoded again so much softer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np

from gripwright.dsp.loudness import true_peak_dbtp
from gripwright.dsp.media import audio_facts, stream_audio
from gripwright.dsp.sound_file import lossy_rate

CEILING_DBTP = -1.0
STEREO_BITS, MONO_BITS = 192_000, 64_000
_BLOCK = 1024  # samples in a block of AAC
_ROUNDS = 5
_SPARE_DB = 0.05


def write_aac(place: Path, sound: Path, *, mono: bool = False) -> None:
    """Write the sound of a file as AAC in MP4, decoded true peak at most `CEILING_DBTP`.

    Raises MediaError for sound that cannot be read, OSError.
    """
    gain_db = 0.0
    for _ in range(_ROUNDS):
        _encode(place, sound, 10 ** (gain_db / 20), mono=mono)
        over = (
            max(true_peak_dbtp(block, 0) for block in stream_audio(place, longest_s=math.inf))
            - CEILING_DBTP
        )
        if over <= 0:
            return
        gain_db -= over + _SPARE_DB


class Soundtrack:
    """An AAC file, handed to a container as the picture goes on."""

    def __init__(self, container: Any, track: Path) -> None:
        self._container = container
        self._file: Any = av.open(str(track))
        source = self._file.streams.audio[0]
        self._stream = container.add_stream_from_template(source)
        self._packets = (packet for packet in self._file.demux(source) if packet.size)
        self._next: Any = next(self._packets, None)

    def mux_until(self, second: Fraction | None) -> None:
        """Hand over the sound up to a second, or all that is left."""
        while self._next and (second is None or self._next.pts * self._next.time_base < second):
            self._next.stream = self._stream
            self._container.mux(self._next)
            self._next = next(self._packets, None)
        if self._next is None:
            self._file.close()


def _encode(place: Path, sound: Path, gain: float, *, mono: bool) -> None:
    rate = lossy_rate(audio_facts(sound).rate)
    layout = "mono" if mono else "stereo"
    with av.open(str(place), "w", format="mp4", options={"movflags": "+faststart"}) as container:
        stream: Any = container.add_stream("aac", rate=rate, layout=layout)
        stream.bit_rate = MONO_BITS if mono else STEREO_BITS
        at = 0
        for block in _blocks(sound, rate, mono=mono):
            frame = av.AudioFrame.from_ndarray(block * np.float32(gain), "fltp", layout)
            frame.sample_rate, frame.pts, frame.time_base = rate, at, Fraction(1, rate)
            container.mux(stream.encode(frame))
            at += block.shape[1]
        container.mux(stream.encode(None))


def _blocks(
    sound: Path, rate: int, *, mono: bool
) -> Iterator[np.ndarray[Any, np.dtype[np.float32]]]:
    """Yield a recording in AAC's blocks, shape (channels, samples); only the last is shorter."""
    channels = 1 if mono else 2
    held = np.zeros((0, channels), np.float32)
    for block in stream_audio(sound, rate=rate, mono=mono, longest_s=math.inf):
        held = np.concatenate([held, np.broadcast_to(block, (len(block), channels))])
        while len(held) >= _BLOCK:
            yield np.ascontiguousarray(held[:_BLOCK].T)
            held = held[_BLOCK:]
    if len(held):
        yield np.ascontiguousarray(held.T)
