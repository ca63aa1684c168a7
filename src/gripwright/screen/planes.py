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

    ``ground`` is the colour below everything, ``#RRGGBB``, or None for none at all.
    """

    def __init__(self, width: int, height: int, ground: str | None, pixels: PixelFormat) -> None:
        self._ground, self._pixels = ground, pixels
        blank = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}px" height="{height}px"/>'
        self._tile = cache(self._converted)
        self._empty = self._converted(blank, width)

    def picture(self, tiles: Sequence[tuple[Box, str]]) -> Planes:
        """Return the planes of a picture."""
        planes = tuple(plane.copy() for plane in self._empty)
        for box, svg in tiles:
            for plane, tile, by in zip(
                planes, self._tile(svg, box.width), self._pixels.shrink, strict=True
            ):
                y, x = box.y // by, box.x // by
                plane[y : y + tile.shape[0], x : x + tile.shape[1]] = tile
        return planes

    def _converted(self, svg: str, width: int) -> Planes:
        data = io.BytesIO(png(svg, width, ground=self._ground))
        with av.open(data, "r", format="png_pipe") as file:
            frame: Any = next(file.decode(video=0)).reformat(
                format=self._pixels.name, dst_colorspace="ITU709",
                src_color_range="JPEG", dst_color_range="MPEG",
            )  # fmt: skip
        return tuple(
            _view(plane, frame, by, self._pixels)[: frame.height // by, : frame.width // by].copy()
            for plane, by in zip(frame.planes, self._pixels.shrink, strict=True)
        )


def video_frame(planes: Planes, pixels: PixelFormat) -> Any:
    """Return a frame for an encoder that holds a picture."""
    height, width = planes[0].shape
    frame = av.VideoFrame(width, height, pixels.name)
    for plane, source, by in zip(frame.planes, planes, pixels.shrink, strict=True):
        _view(plane, frame, by, pixels)[: source.shape[0], : source.shape[1]] = source
    return frame


def _view(plane: Any, frame: Any, by: int, pixels: PixelFormat) -> Plane:
    """Return a plane as an array of whole lines, padding included."""
    lines = np.frombuffer(plane, pixels.sample)
    return lines.reshape(frame.height // by, plane.line_size // np.dtype(pixels.sample).itemsize)
