"""Clips with alpha for an editing program: every frame there, each picture encoded once.

ProRes 4444 holds every frame whole, so its packets repeat as they are. In VP9 a repeated
frame is one byte that shows a kept frame again (VP9 Bitstream Specification, 6.2:
``show_existing_frame``); alpha is a second such stream in the block additions of WebM.
Both have constant frame rate.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar, get_args

import av
from av.packet import PacketSideData, PktSideDataT
from av.video.frame import PictureType

from gripwright.screen.planes import YUVA420, YUVA444_10, PixelFormat, Planes, video_frame

Key = TypeVar("Key", bound=Hashable)
Runs = Sequence[tuple[Key, int]]
Draw = Callable[[Key], Planes]

_QUANTISER = 12
_PRORES = {"profile": "4444", "alpha_bits": "16", "flags": "+qscale",
           "global_quality": str(118 * _QUANTISER)}  # fmt: skip
_VP9 = {"auto-alt-ref": "0", "lag-in-frames": "0", "deadline": "realtime", "cpu-used": "8",
        "crf": "20", "b": "0"}  # fmt: skip
_BLOCK_ADDITION = "matroska_block_additional"
_SHOW_FIRST_KEPT = b"\x88"  # frame marker 2, profile 0, show_existing_frame 1, frame 0
_ID_BYTES = 8
_BT709, _LIMITED = 1, 1  # ITU-T H.273


def write_prores(
    place: Path, runs: Runs[Key], draw: Draw[Key], *, width: int, height: int, fps: int
) -> None:
    """Write runs of equal frames as ProRes 4444 with alpha; ``draw`` gives `YUVA444_10`."""
    with av.open(str(place), "w", format="mov") as container:
        stream = _stream(container, "prores_ks", (width, height), fps, YUVA444_10, _PRORES)
        packets = _encoded(stream, runs, draw, YUVA444_10)
        for number, (key, _) in enumerate(_every(runs)):
            container.mux(_again(stream, bytes(packets[key]), number, fps, alone=True))


def write_vp9(
    place: Path, runs: Runs[Key], draw: Draw[Key], *, width: int, height: int, fps: int
) -> None:
    """Write runs of equal frames as VP9 with alpha in WebM; ``draw`` gives `YUVA420`."""
    with av.open(str(place), "w", format="webm", container_options={"fflags": "+bitexact"}) as file:
        stream = _stream(file, "libvpx-vp9", (width, height), fps, YUVA420, _VP9)
        packets = _encoded(stream, runs, draw, YUVA420)
        for number, (key, first) in enumerate(_every(runs)):
            alpha = bytes(packets[key].get_sidedata(_BLOCK_ADDITION))
            data = bytes(packets[key]) if first else _SHOW_FIRST_KEPT
            packet = _again(stream, data, number, fps, alone=first)
            _add_alpha(packet, alpha if first else alpha[:_ID_BYTES] + _SHOW_FIRST_KEPT)
            file.mux(packet)


def _stream(
    container: Any, codec: str, size: tuple[int, int], fps: int, pixels: PixelFormat,
    options: dict[str, str],
) -> Any:  # fmt: skip
    stream = container.add_stream(codec, rate=fps)
    stream.width, stream.height = size
    stream.pix_fmt = pixels.name
    context = stream.codec_context
    context.time_base, context.thread_count = Fraction(1, fps), 1
    context.color_range = _LIMITED
    context.colorspace = context.color_primaries = context.color_trc = _BT709
    context.options = options
    return stream


def _encoded(stream: Any, runs: Runs[Key], draw: Draw[Key], pixels: PixelFormat) -> dict[Key, Any]:
    """Return the packet of each picture, every one a frame that stands alone."""
    keys = list(dict.fromkeys(key for key, _ in runs))
    packets = []
    for number, key in enumerate(keys):
        frame = video_frame(draw(key), pixels)
        frame.pts, frame.pict_type = number, PictureType.I
        packets += stream.encode(frame)
    packets += stream.encode(None)
    return dict(zip(keys, packets, strict=True))


def _every(runs: Runs[Key]) -> Iterator[tuple[Key, bool]]:
    """Yield each frame's picture, and whether it is the first of its run."""
    for key, frames in runs:
        for frame in range(frames):
            yield key, frame == 0


def _again(stream: Any, data: bytes, number: int, fps: int, *, alone: bool) -> Any:
    packet = av.Packet(data)
    packet.stream, packet.time_base = stream, Fraction(1, fps)
    packet.pts = packet.dts = number
    packet.duration, packet.is_keyframe = 1, alone
    return packet


def _add_alpha(packet: Any, data: bytes) -> None:
    kind: Any = get_args(PktSideDataT).index(_BLOCK_ADDITION)
    addition: Any = PacketSideData(kind, len(data))  # type: ignore[call-arg]
    addition.update(data)
    addition.to_packet(packet, True)
