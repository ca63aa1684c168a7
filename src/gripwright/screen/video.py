"""Video of still pictures: each distinct one encoded once, its repeats nearly for nothing.

A picture becomes one IDR frame. The frames that repeat it are P frames in which every block is
skipped; such a frame does not depend on the picture, only on its place after the IDR, so one
series of them, encoded once from a plain frame, serves behind every IDR (ITU-T H.264, 7.4.3:
``frame_num`` and picture order restart at each IDR). All groups are closed. The
quantiser is constant, so that what is equal in two pictures decodes equal; the number of
threads is fixed, because x264's bytes depend on it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar

import av
import numpy as np
from av.video.frame import PictureType

from gripwright.screen.planes import YUV420, Planes, video_frame
from gripwright.screen.soundtrack import Soundtrack, write_aac

Key = TypeVar("Key", bound=Hashable)

GROUP = 120  # frames from one IDR to the next, at most
_X264 = (
    "keyint=infinite:scenecut=0:bframes=0:ref=1:weightp=0:rc-lookahead=0:mbtree=0:"
    "sync-lookahead=0:sliced-threads=0:aq-mode=0"
)
_REPEATING = {"preset": "veryfast", "qp": "18", "forced-idr": "1", "x264-params": _X264}
_THREADS = 2
_BT709, _LIMITED = 1, 1  # ITU-T H.273: colour code points; av: limited range


def write_mp4(
    place: Path,
    runs: Sequence[tuple[Key, int]],
    draw: Callable[[Key], Planes],
    *,
    width: int,
    height: int,
    fps: int,
    sound: Path | None = None,
    track: Path | None = None,
) -> None:
    """Write H.264 video of runs of equal frames, with the sound of a file as AAC if given.

    A ``track`` that `write_aac` made is taken as it is.

    ``runs`` are (key of the picture, frames); ``draw`` gives a picture in `YUV420` and is
    called once a key; width and height are even. The file is tagged BT.709, its frame rate is
    constant and its index stands in front.
    """
    with opened_mp4(place, sound, track) as (container, track):
        video: Any = bt709_stream(container, width, height, fps, _REPEATING)
        audio = Soundtrack(container, track) if track else None
        keys = list(dict.fromkeys(key for key, _ in runs))
        pictures, repeats = _encoded(video, keys, draw)
        for frame, (data, alone) in enumerate(_frames(runs, pictures, repeats)):
            if audio:
                audio.mux_until(Fraction(frame, fps))
            container.mux(_packet(video, data, alone, frame, fps))
        if audio:
            audio.mux_until(None)


@contextmanager
def opened_mp4(
    place: Path, sound: Path | None, track: Path | None = None
) -> Iterator[tuple[Any, Path | None]]:
    """Give a container for a video, and its sound as AAC: ``track``, or made beside meanwhile."""
    made = place.with_name(f".{place.name}.m4a") if sound and not track else None
    try:
        if made and sound:
            write_aac(made, sound)
        with av.open(str(place), "w", format="mp4", options={"movflags": "+faststart"}) as file:
            yield file, track or made
    finally:
        if made:
            made.unlink(missing_ok=True)


def bt709_stream(
    container: Any, width: int, height: int, fps: int, options: Mapping[str, str]
) -> Any:
    """Return a new H.264 stream of constant rate that is tagged BT.709, limited range."""
    stream = container.add_stream("libx264", rate=fps)
    stream.width, stream.height, stream.pix_fmt = width, height, YUV420.name
    context = stream.codec_context
    context.time_base = Fraction(1, fps)
    context.thread_count = _THREADS
    context.color_range = _LIMITED
    context.colorspace = context.color_primaries = context.color_trc = _BT709
    context.options = dict(options)
    return stream


def _encoded(
    stream: Any, keys: Sequence[Key], draw: Callable[[Key], Planes]
) -> tuple[dict[Key, bytes], list[bytes]]:
    """Return each picture as the bytes of an IDR frame, and the frames that repeat any."""
    grey = tuple(
        np.full((stream.height // by, stream.width // by), 128, YUV420.sample)
        for by in YUV420.shrink
    )
    plain = video_frame(grey, YUV420)
    found: list[bytes] = []
    for number in range(GROUP + len(keys)):
        alone = number == 0 or number >= GROUP
        frame = plain if number < GROUP else video_frame(draw(keys[number - GROUP]), YUV420)
        frame.pts = number
        frame.pict_type = PictureType.I if alone else PictureType.NONE
        found += [bytes(packet) for packet in stream.encode(frame)]
    found += [bytes(packet) for packet in stream.encode(None)]
    return dict(zip(keys, found[GROUP:], strict=True)), found[1:GROUP]


def _frames(
    runs: Sequence[tuple[Key, int]], pictures: dict[Key, bytes], repeats: Sequence[bytes]
) -> Iterator[tuple[bytes, bool]]:
    """Yield the bytes of each frame, and whether it stands alone."""
    for key, frames in runs:
        for frame in range(frames):
            place = frame % GROUP
            yield (repeats[place - 1], False) if place else (pictures[key], True)


def _packet(stream: Any, data: bytes, alone: bool, frame: int, fps: int) -> Any:
    packet = av.Packet(data)
    packet.stream, packet.time_base = stream, Fraction(1, fps)
    packet.pts = packet.dts = frame
    packet.duration, packet.is_keyframe = 1, alone
    return packet
