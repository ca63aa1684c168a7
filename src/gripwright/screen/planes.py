"""Pictures as the planes that an encoder takes, put together from tiles.

Colours are turned into BT.709 (limited range) once a tile, not once a frame: a frame is then
a handful of copies. Boxes have even sides and places, so half-size colour planes fit.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import av
import numpy as np

from gripwright.draw.raster import png
from gripwright.screen.layout import Box

Plane = np.ndarray[Any, np.dtype[Any]]
Planes = tuple[Plane, ...]


@dataclass(frozen=True, slots=True)
class PixelFormat:
    """A pixel format by its name: by how much each plane is smaller, and its sample type."""

    name: str
    shrink: tuple[int, ...]
    sample: type[np.generic]


YUV420 = PixelFormat("yuv420p", (1, 2, 2), np.uint8)
YUVA420 = PixelFormat("yuva420p", (1, 2, 2, 1), np.uint8)
YUVA444_10 = PixelFormat("yuva444p10le", (1, 1, 1, 1), np.uint16)


class Canvas:
    """Pictures of one size from tiles (a box and an SVG of its size), each drawn once.

    ``ground`` is what lies below everything: a colour, ``#RRGGBB``, a picture of that size,
    (height, width, 3), or None for nothing at all.
    """

    def __init__(
        self, width: int, height: int, ground: str | Plane | None, pixels: PixelFormat
    ) -> None:
        self._ground, self._pixels = ground, pixels
        blank = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}px" height="{height}px"/>'
        self._same_anywhere = isinstance(ground, str) or ground is None
        self._once = cache(self._drawn)
        self._empty = self._drawn(blank, Box(0, 0, width, height))

    def picture(self, tiles: Sequence[tuple[Box, str]]) -> Planes:
        """Return the planes of a picture."""
        planes = tuple(plane.copy() for plane in self._empty)
        for box, svg in tiles:
            for plane, tile, by in zip(
                planes, self._tile(svg, box), self._pixels.shrink, strict=True
            ):
                y, x = box.y // by, box.x // by
                plane[y : y + tile.shape[0], x : x + tile.shape[1]] = tile
        return planes

    def _tile(self, svg: str, box: Box) -> Planes:
        place = Box(0, 0, box.width, box.height) if self._same_anywhere else box
        return self._once(svg, place)

    def _drawn(self, svg: str, box: Box) -> Planes:
        """Return what a tile is on the ground of its box."""
        if self._ground is None or isinstance(self._ground, str):
            return as_planes(_png_frame(png(svg, box.width, ground=self._ground)), self._pixels)
        under = self._ground[box.y : box.y + box.height, box.x : box.x + box.width]
        over = _png_frame(png(svg, box.width)).reformat(format="rgba").to_ndarray()
        share = over[..., 3:] / np.float32(255)
        both = np.round(over[..., :3] * share + under * (1 - share)).astype(np.uint8)
        return as_planes(av.VideoFrame.from_ndarray(both, "rgb24"), self._pixels)


def as_planes(frame: Any, pixels: PixelFormat) -> Planes:
    """Return a frame of RGB as planes in BT.709, limited range."""
    made = frame.reformat(
        format=pixels.name, dst_colorspace="ITU709",
        src_color_range="JPEG", dst_color_range="MPEG",
    )  # fmt: skip
    return tuple(
        plane_view(plane, made, by, pixels)[: made.height // by, : made.width // by].copy()
        for plane, by in zip(made.planes, pixels.shrink, strict=True)
    )


def _png_frame(data: bytes) -> Any:
    with av.open(io.BytesIO(data), "r", format="png_pipe") as file:
        return next(file.decode(video=0))


def video_frame(planes: Planes, pixels: PixelFormat) -> Any:
    """Return a frame for an encoder that holds a picture."""
    height, width = planes[0].shape
    frame = av.VideoFrame(width, height, pixels.name)
    for plane, source, by in zip(frame.planes, planes, pixels.shrink, strict=True):
        plane_view(plane, frame, by, pixels)[: source.shape[0], : source.shape[1]] = source
    return frame


def plane_view(plane: Any, frame: Any, by: int, pixels: PixelFormat) -> Plane:
    """Return a plane as an array of whole lines, padding included."""
    lines = np.frombuffer(plane, pixels.sample)
    return lines.reshape(frame.height // by, plane.line_size // np.dtype(pixels.sample).itemsize)
