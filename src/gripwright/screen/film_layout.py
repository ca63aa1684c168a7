"""Where the grips stand by the take's own picture: on a plate in a corner, or below it.

Margins and steps keep to 16 pixels of a frame of 1080 lines. The plate stands at least 5 % inside
the frame; its symbol has capitals of 7 % of a wide film's height. By default it is at the top
on the left: the hand that frets a right-handed guitar is on the viewer's right, and both hands are
below (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, get_args

from gripwright.screen.layout import Box, Layout

Corner = Literal["top-left", "top-right", "bottom-left", "bottom-right"]
CORNERS: tuple[Corner, ...] = get_args(Corner)
DEFAULT_CORNER: Corner = "top-left"
MIN_PLATE, MAX_PLATE = 0.25, 0.9  # of the height of the picture
WIDE_PLATE, UPRIGHT_PLATE = 0.5, 0.33

LONGEST, SHORTEST, LEAST = 1920, 1080, 480  # sides of the film in pixels
TALL_WIDTH, TALL_HEIGHT = 1080, 1920
_STEP = 16
_SAFE = 0.05
_SHEET = Box(0, 0, 760, 972)
_PLATE = Layout(
    "film-plate", 760, 972,
    part=None, bar=None, beat=None, plate=_SHEET,
    symbol=Box(40, 26, 680, 240), grip=Box(40, 268, 680, 432),
    next_label=Box(40, 702, 240, 42),
    next_grip=Box(40, 744, 280, 210), next_symbol=Box(344, 744, 380, 210),
    symbol_px=208, next_px=112, part_px=118, bar_px=60,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FilmPlan:
    """A film: its size, where the take's picture is in it, and where what is drawn.

    ``board`` is laid out in a frame of its own, which stands at ``at`` (x, y) of the film.
    """

    width: int
    height: int
    picture: Box
    board: Layout
    at: tuple[int, int]

    @property
    def grip(self) -> Box:
        """Return the box of the drawn grip in the film."""
        box = self.board.grip
        return Box(box.x + self.at[0], box.y + self.at[1], box.width, box.height)


def film_size(width: int, height: int) -> tuple[int, int]:
    """Return the even size of the film of a picture: its own, brought between 480 and 1080 lines.

    >>> film_size(1920, 1080), film_size(3840, 2160), film_size(641, 361), film_size(2160, 3840)
    ((1920, 1080), (1920, 1080), (852, 480), (1080, 1920))
    """
    short, long_ = min(width, height), max(width, height)
    scale = min(max(1.0, LEAST / short), SHORTEST / short, LONGEST / long_)
    return max(2, 2 * round(width * scale / 2)), max(2, 2 * round(height * scale / 2))


def cornered(width: int, height: int, corner: Corner, share: float | None) -> FilmPlan:
    """Return the film with a plate in a corner, ``share`` of the picture's height high.

    Without a share it is a half, on an upright picture a third. The plate is never wider than
    the frame inside its margins.
    """
    unit = max(1, round(_STEP * min(width, height) / SHORTEST))
    across, down = (unit * -(-round(_SAFE * side) // unit) for side in (width, height))
    wanted = height * (share or (WIDE_PLATE if width >= height else UPRIGHT_PLATE))
    scale = min(
        wanted / _SHEET.height, (height - 2 * down) / _SHEET.height,
        (width - 2 * across) / _SHEET.width,
    )  # fmt: skip
    board = _scaled(_PLATE, scale)
    x = across if corner.endswith("left") else width - across - board.width
    y = down if corner.startswith("top") else height - down - board.height
    return FilmPlan(width, height, Box(0, 0, width, height), board, (_even(x), _even(y)))


def stacked(width: int, height: int) -> FilmPlan:
    """Return the tall film of a wide picture: the picture above, uncut if its shape allows."""
    high = min(720, max(456, 2 * round(TALL_WIDTH * height / width / 2)))
    room = TALL_HEIGHT - high
    next_high = 216 if room > 1232 else 184
    bottom = room - 96
    beat = Box(54, bottom - 134, 972, 134)
    waiting = beat.y - 32 - next_high
    label = waiting - 46
    grip_top = _TALL_FILM.symbol.y + _TALL_FILM.symbol.height + 8
    board = replace(
        _TALL_FILM, height=room, beat=beat,
        grip=Box(54, grip_top, 972, _even(label - 24 - grip_top)),
        next_label=Box(54, label, 240, 46),
        next_grip=Box(54, waiting, 320, next_high),
        next_symbol=Box(390, waiting, 636, next_high),
    )  # fmt: skip
    return FilmPlan(TALL_WIDTH, TALL_HEIGHT, Box(0, 0, TALL_WIDTH, high), board, (0, high))


_NOWHERE = Box(0, 0, 2, 2)
_TALL_FILM = Layout(
    "tall-film", TALL_WIDTH, TALL_HEIGHT,
    part=Box(54, 32, 648, 80), bar=Box(702, 32, 324, 80),
    symbol=Box(54, 114, 972, 204),
    grip=_NOWHERE, next_label=_NOWHERE, next_grip=_NOWHERE, next_symbol=_NOWHERE, beat=None,
    symbol_px=168, next_px=104, part_px=76, bar_px=52,
)  # fmt: skip


def _scaled(layout: Layout, scale: float) -> Layout:
    """Return a plate at another scale, all sides even."""
    width, height = _even(layout.width * scale), _even(layout.height * scale)
    symbol, grip, label, waiting, coming = (
        _moved(box, scale)
        for box in (layout.symbol, layout.grip, layout.next_label, layout.next_grip,
                    layout.next_symbol)
    )  # fmt: skip
    return Layout(
        layout.name, width, height, part=None, bar=None, beat=None,
        symbol=symbol, grip=grip, next_label=label, next_grip=waiting, next_symbol=coming,
        plate=Box(0, 0, width, height), symbol_px=round(layout.symbol_px * scale),
        next_px=round(layout.next_px * scale), part_px=layout.part_px, bar_px=layout.bar_px,
        plate_round=layout.plate_round * scale,
    )  # fmt: skip


def _moved(box: Box, scale: float) -> Box:
    """Return a box at another scale; boxes that touch still do."""
    left, top = _even(box.x * scale), _even(box.y * scale)
    right, bottom = _even((box.x + box.width) * scale), _even((box.y + box.height) * scale)
    return Box(left, top, max(2, right - left), max(2, bottom - top))


def _even(value: float) -> int:
    return 2 * round(value / 2)
