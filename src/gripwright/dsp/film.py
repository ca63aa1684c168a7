"""Moving pictures in: the picture of an mp4, mov or mkv as frames of one size and one rate.

Frame n is the last picture at or before n/fps seconds of the file's timeline (the first one
where none is), so a varying rate becomes a constant one and picture and sound stay in step. The
picture is turned as the file says (phones), its pixels are made square, depth and colour become
8 bits of BT.709, limited range. Frames come one by one; what is held does not grow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import av.error
from av.filter import Graph
from av.stream import Disposition

from gripwright.dsp.film_facts import FilmFacts
from gripwright.dsp.media import origin_s
from gripwright.dsp.opening import OTHERWISE, bad, opened_media

MAX_SIDE = 8_192
_THREADS = 2
_BRIGHTER_THAN_SCREENS = {16: "PQ", 18: "HLG"}  # ITU-T H.273, transfer characteristics
_UNSAID, _HD_LINES = 2, 720  # an unsaid matrix is BT.709 from 720 lines on (common practice)
_TURNS = {0: "", 90: "transpose=cclock,", 180: "hflip,vflip,", 270: "transpose=clock,"}


def film_facts(path: str | Path) -> FilmFacts | None:
    """Return what a recording says of its moving picture, None where it has none.

    Reads through the file, but decodes only the first frame. Raises MediaError for a picture in
    a coding that is not read, or that cannot be decoded.
    """
    path = Path(path)
    with opened_media(path, "video") as (container, stream):
        if not _moves(stream):
            return None
        frame = next(_frames(container, stream), None)
        if frame is None:
            raise bad(path, "holds a picture that cannot be decoded", OTHERWISE["video"])
        if max(frame.width, frame.height) > MAX_SIDE:
            raise bad(
                path, f"has a picture of {frame.width} x {frame.height} pixels",
                f"export it with at most {MAX_SIDE} on a side",
            )  # fmt: skip
        width, height = _seen(frame, _shape(stream))
    return FilmFacts(width, height, _end_s(path))


def film_frames(
    path: str | Path, sizes: Sequence[tuple[int, int]], *, fps: int, total: int
) -> Iterator[tuple[Any, ...]]:
    """Yield ``total`` frames of a picture at a constant rate, each in every one of some sizes.

    ``sizes`` are (width, height), even; what does not fit the shape of one is cut off evenly.
    Frames are `av.VideoFrame` in yuv420p; the same ones come again where a picture lasts. Raises
    MediaError as `film_facts` does.
    """
    path = Path(path)
    origin = origin_s(path)
    with opened_media(path, "video") as (container, stream):
        if not _moves(stream):
            raise bad(path, "has no moving picture", "give the film itself")
        coming = _timed(_frames(container, stream), stream, origin)
        near = float(stream.time_base) / 2
        held = ahead = next(coming, None)
        if held is None:
            raise bad(path, "holds a picture that cannot be decoded", OTHERWISE["video"])
        shaped: tuple[Any, ...] = ()
        shapers = [_Shaper(size, _shape(stream)) for size in sizes]
        for number in range(total):
            while ahead is not None and ahead[0] <= number / fps + near:
                held, ahead, shaped = ahead, next(coming, None), ()
            shaped = shaped or tuple(shaper.shaped(held[1]) for shaper in shapers)
            yield shaped


def _moves(stream: Any) -> bool:
    """Return whether there is a picture that is no cover of an album."""
    return stream is not None and not stream.disposition & Disposition.attached_pic


def _frames(container: Any, stream: Any) -> Iterator[Any]:
    """Yield the frames of a stream; what cannot be decoded is left out."""
    stream.thread_type = "AUTO"
    stream.codec_context.thread_count = _THREADS
    try:
        for packet in container.demux(stream):
            try:
                yield from packet.decode()
            except av.error.InvalidDataError:
                continue
    except av.error.FFmpegError:
        return  # the file breaks off; its sound tells


def _timed(frames: Iterator[Any], stream: Any, origin: float) -> Iterator[tuple[float, Any]]:
    """Yield (second, frame) in order of time; a frame without one follows the last."""
    usual = 1 / float(stream.average_rate or 30)
    second = -usual
    for frame in frames:
        said = frame.time
        second = second + usual if said is None else max(float(said) - origin, second)
        yield second, frame


def _end_s(path: Path) -> float:
    """Return the second at which the last frame of the picture ends."""
    origin, end = origin_s(path), 0.0
    with opened_media(path, "video") as (container, stream):
        usual = 1 / float(stream.average_rate or 30)
        try:
            for packet in container.demux(stream):
                if packet.pts is not None:
                    lasts = float((packet.duration or 0) * packet.time_base) or usual
                    end = max(end, float(packet.pts * packet.time_base) - origin + lasts)
        except av.error.FFmpegError:
            pass
    return end


def _shape(stream: Any) -> Fraction:
    """Return how many times as wide as high a pixel is."""
    return Fraction(stream.sample_aspect_ratio or 1) or Fraction(1)


def _seen(frame: Any, shape: Fraction) -> tuple[int, int]:
    """Return the size of a picture turned upright with square pixels."""
    width, height = round(frame.width * shape), frame.height
    return (height, width) if _turn(frame) in (90, 270) else (width, height)


def _turn(frame: Any) -> int:
    """Return by how many degrees, counted against the clock, a picture has to be turned."""
    return int(round(frame.rotation / 90) % 4 * 90)


class _Shaper:
    """Turn frames upright and bring them to one size, whatever they come as."""

    def __init__(self, size: tuple[int, int], shape: Fraction) -> None:
        self._size, self._shape = size, shape
        self._kind: tuple[Any, ...] = ()
        self._graph: Any = None

    def shaped(self, frame: Any) -> Any:
        kind = (
            frame.width, frame.height, frame.format.name, _turn(frame), frame.colorspace,
            frame.color_range, frame.color_trc,
        )  # fmt: skip
        if kind != self._kind:
            self._kind, self._graph = kind, self._made(frame)
        self._graph.push(frame)
        return self._graph.pull()

    def _made(self, frame: Any) -> Any:
        width, height = self._size
        wide, high = _seen(frame, self._shape)
        scale = max(width / wide, height / high)
        big = (max(width, round(wide * scale)), max(height, round(high * scale)))
        into = "out_color_matrix=bt709:out_range=tv"
        if int(frame.colorspace) == _UNSAID:
            into += f":in_color_matrix={'bt709' if frame.height >= _HD_LINES else 'bt601'}"
        if int(frame.color_trc) in _BRIGHTER_THAN_SCREENS:
            into += ":out_primaries=bt709:out_transfer=bt709"
        steps = (
            f"{_TURNS[_turn(frame)]}scale={big[0]}:{big[1]}:flags=bicubic:{into},"
            f"format=yuv420p,crop={width}:{height},setsar=1"
        )
        graph = Graph()
        source = graph.add_buffer(
            width=frame.width, height=frame.height, format=frame.format.name,
            time_base=frame.time_base or Fraction(1, 90_000),
        )  # fmt: skip
        last = source
        for step in steps.split(","):
            name, _, said = step.partition("=")
            following = graph.add(name, said or None)
            last.link_to(following)
            last = following
        last.link_to(graph.add("buffersink"))
        graph.configure()
        return graph
