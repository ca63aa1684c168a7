"""What lies under the overlay: a colour, or a picture that is quiet where the grips stand.

A picture fills the frame, its longer side cropped evenly. Where the grips are laid it is blurred
and covered by paper just so far that the ink stands out 7:1 on its every pixel (WCAG 2.2, 1.4.6);
the other colours follow (`gripwright.screen.inks`). Around that it stays as it is.
"""

from __future__ import annotations

import difflib
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import av
import av.error
import numpy as np

from gripwright.draw.look import DARK, LIGHT, Palette, contrast
from gripwright.draw.raster import png
from gripwright.errors import InputError
from gripwright.files import shown, why_unreadable
from gripwright.screen.inks import inked, mixed
from gripwright.screen.layout import Box, Layout

Picture = np.ndarray[Any, np.dtype[np.uint8]]

# CSS Level 2 Revision 1 (W3C), 4.3.6: the seventeen names of colours.
NAMES = {
    "aqua": "#00FFFF", "black": "#000000", "blue": "#0000FF", "fuchsia": "#FF00FF",
    "gray": "#808080", "green": "#008000", "lime": "#00FF00", "maroon": "#800000",
    "navy": "#000080", "olive": "#808000", "orange": "#FFA500", "purple": "#800080",
    "red": "#FF0000", "silver": "#C0C0C0", "teal": "#008080", "white": "#FFFFFF",
    "yellow": "#FFFF00", "grey": "#808080",
}  # fmt: skip
MAX_BYTES, MAX_PIXELS = 50_000_000, 100_000_000
_KINDS = {b"\x89PNG": ("png_pipe", "png"), b"\xff\xd8\xff": ("jpeg_pipe", "mjpeg")}
_READABLE, _MIDDLE = 7.0, 110
_VEILS = [share / 100 for share in range(60, 97, 2)]
_BLUR_PX, _MARGIN_PX, _ROUND_PX = 24, 32, 24
_REMEDY = "give a colour (a name such as navy, or #rrggbb) or a png or jpeg file"


@dataclass(frozen=True, slots=True)
class Backdrop:
    """A picture of the size of a frame, (height, width, 3), and the inks that are read on it."""

    picture: Picture
    colours: Palette


def colour_of(text: str) -> str | None:
    """Return a colour as ``#RRGGBB``, None where the text does not look like one.

    Raises InputError for what begins as a colour and is none.

    >>> colour_of("Navy"), colour_of("#fa0"), colour_of("desk.png")
    ('#000080', '#FFAA00', None)
    """
    name = text.strip().lower()
    if name in NAMES:
        return NAMES[name]
    if not name.startswith("#"):
        return None
    digits = name[1:]
    if len(digits) == 3:
        digits = "".join(2 * digit for digit in digits)
    if len(digits) != 6 or not all(digit in "0123456789abcdef" for digit in digits):
        raise InputError(
            f"{text!r} is no colour: after # stand three or six of 0-9 and a-f",
            field="background", remedy=_REMEDY,
        )  # fmt: skip
    return f"#{digits.upper()}"


def check_picture(path: Path) -> None:
    """Raise InputError unless a file is a picture that can be laid under the overlay."""
    read_picture(path, (16, 16))


def read_picture(path: Path, size: tuple[int, int]) -> Picture:
    """Return a PNG or JPEG that fills (width, height), turned as it says; raises InputError."""
    try:
        other = why_unreadable(path)
        data = b"" if other else path.read_bytes()[: MAX_BYTES + 1]
    except OSError:
        near = difflib.get_close_matches(str(path).lower(), NAMES, 1)
        raise _bad(
            f"{shown(path)} is neither a colour nor a file that is there",
            f"did you mean {near[0]}? Else {_REMEDY}" if near else _REMEDY,
        ) from None
    if other:
        raise _bad(f"{shown(path)} {other[0]}", other[1])
    kind = next((kind for head, kind in _KINDS.items() if data.startswith(head)), None)
    if kind is None:
        raise _bad(f"{shown(path)} is no png or jpeg picture", _REMEDY)
    if len(data) > MAX_BYTES:
        raise _bad(f"{shown(path)} is larger than {MAX_BYTES // 1_000_000} MB", "save it smaller")
    return _decoded(path, data, kind, size)


def _decoded(path: Path, data: bytes, kind: tuple[str, str], size: tuple[int, int]) -> Picture:
    container, codec = kind
    try:
        with av.open(
            io.BytesIO(data), "r", format=container,
            options={"format_whitelist": container, "codec_whitelist": codec,
                     "max_pixels": str(MAX_PIXELS)},
        ) as file:  # fmt: skip
            stream = file.streams.video[0]
            if stream.width * stream.height > MAX_PIXELS:
                raise _bad(
                    f"{shown(path)} has {stream.width} x {stream.height} pixels",
                    f"save it with at most {MAX_PIXELS // 1_000_000} million",
                )
            frame: Any = next(file.decode(stream))
    except (av.error.FFmpegError, StopIteration, IndexError) as error:
        raise _bad(
            f"{shown(path)} is a damaged picture, or has too many pixels", "save it again"
        ) from error
    return _filling(frame, size)


def _filling(frame: Any, size: tuple[int, int]) -> Picture:
    """Return a frame turned upright, scaled to cover a size and cropped evenly to it."""
    width, height = size
    turns = round(frame.rotation / 90) % 4
    wide, high = (frame.height, frame.width) if turns % 2 else (frame.width, frame.height)
    scale = max(width / wide, height / high)
    big = (max(width, round(wide * scale)), max(height, round(high * scale)))
    before = big[::-1] if turns % 2 else big
    rgba = frame.reformat(*before, "rgba", interpolation="BICUBIC").to_ndarray()
    upright = np.rot90(rgba, turns)
    left, top = (big[0] - width) // 2, (big[1] - height) // 2
    cropped = upright[top : top + height, left : left + width].astype(np.float32)
    alpha = cropped[..., 3:] / 255
    paper = np.array(_rgb(LIGHT.paper), np.float32)
    return np.asarray(np.round(cropped[..., :3] * alpha + paper * (1 - alpha)), np.uint8)


def backdrop(picture: Picture, layout: Layout) -> Backdrop:
    """Return a picture of a frame's size, quiet where the layout lays its tiles."""
    plate = plate_of(layout)
    rows, columns = slice(plate.y, plate.y + plate.height), slice(plate.x, plate.x + plate.width)
    soft = _blurred(picture)[rows, columns]
    base = DARK if np.median(soft[::_BLUR_PX, ::_BLUR_PX]) < _MIDDLE else LIGHT
    edges = _extremes(soft)
    veil = next((v for v in _VEILS if _readable(base, edges, v)), _VEILS[-1])
    inside = _rounded(plate)[..., None]
    share = inside * np.float32(veil)
    sharp, paper = picture[rows, columns], np.array(_rgb(base.paper), np.float32)
    made = picture.copy()
    made[rows, columns] = np.round(sharp * (1 - inside) + soft * (inside - share) + paper * share)
    grounds = [mixed(one, base.paper, veil) for one in edges]
    return Backdrop(made, inked([base.paper, *grounds], base))


def _readable(base: Palette, edges: Sequence[str], veil: float) -> bool:
    grounds = [mixed(edge, base.paper, veil) for edge in edges]
    return min(contrast(base.ink, ground) for ground in grounds) >= _READABLE


def plate_of(layout: Layout) -> Box:
    """Return the box of a frame in which a picture is quietened: all tiles and a margin."""
    return Box(
        _MARGIN_PX, _MARGIN_PX, layout.width - 2 * _MARGIN_PX, layout.height - 2 * _MARGIN_PX
    )


def _blurred(picture: Picture) -> Picture:
    """Return a picture without detail that could be taken for a line or a letter."""
    height, width = picture.shape[:2]
    frame: Any = av.VideoFrame.from_ndarray(picture, "rgb24")
    small = frame.reformat(
        max(2, width // _BLUR_PX), max(2, height // _BLUR_PX), interpolation="AREA"
    )
    return np.asarray(small.reformat(width, height, interpolation="BICUBIC").to_ndarray())


def _extremes(picture: Picture) -> list[str]:
    """Return the darkest and the lightest colour that stands anywhere, channel by channel."""
    flat = picture.reshape(-1, 3)
    return ["#" + "".join(f"{part:02X}" for part in edge)
            for edge in (flat.min(axis=0), flat.max(axis=0))]  # fmt: skip


def _rounded(box: Box) -> np.ndarray[Any, np.dtype[np.float32]]:
    """Return how far each pixel of a box lies inside its rounded rectangle, 0 to 1."""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{box.width}px" height="{box.height}px">'
        f'<rect width="{box.width}" height="{box.height}" rx="{_ROUND_PX}"/></svg>'
    )
    with av.open(io.BytesIO(png(svg, box.width)), "r", format="png_pipe") as file:
        frame: Any = next(file.decode(video=0))
    return np.asarray(frame.reformat(format="rgba").to_ndarray()[..., 3] / 255, np.float32)


def _rgb(colour: str) -> tuple[int, int, int]:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue


def _bad(said: str, remedy: str) -> InputError:
    return InputError(said, field="background", remedy=remedy)
