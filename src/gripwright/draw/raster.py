"""SVG to pixels by resvg, with one font database that holds our fonts and no others."""

from __future__ import annotations

import re
from functools import lru_cache

from resvg import render, usvg

from gripwright.draw.look import SANS
from gripwright.draw.type import FONT_FOLDER

_PX_PER_MM = 96 / 25.4  # CSS Values and Units 3, section 6.2
_SIZE = re.compile(r'<svg\b[^>]*?\swidth="([\d.]+)(mm|px)?"\s+height="([\d.]+)(?:mm|px)?"')


@lru_cache(maxsize=1)
def _options() -> usvg.Options:
    options = usvg.Options.default()
    options.load_fonts_dir(str(FONT_FOLDER))
    options.font_family = SANS
    return options


def png(svg: str, width_px: int, *, ground: str | None = None) -> bytes:
    """Return a PNG of one of our drawings, ``width_px`` wide, on ``ground`` or transparent.

    Raises ValueError when the text is no SVG with a width and a height.
    """
    size = _SIZE.search(svg)
    if not size:
        raise ValueError("the drawing has no width and height in mm or px")
    wide, high = float(size[1]), float(size[3])
    scale = width_px / (wide * (_PX_PER_MM if size[2] == "mm" else 1))
    pixels = (width_px, max(1, round(width_px * high / wide)))
    colour = _rgba(ground) if ground else (0, 0, 0, 0)
    tree = usvg.Tree.from_str(svg, _options())
    row_major = (scale, 0.0, 0.0, 0.0, scale, 0.0)
    return bytes(render(tree, row_major, bg_size=pixels, bg_color=colour))


def _rgba(colour: str) -> tuple[int, int, int, int]:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue, 255
