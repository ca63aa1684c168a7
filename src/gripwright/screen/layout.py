"""Where things stand on the screen: the wide form of the video and the tall one.

Boxes are in pixels with even sides, as the colour planes of the video need. The current grip
is 55 % of the height in the wide form, the next 25 %; capitals of symbol and part are at least
7 % of the shorter side; nothing stands in the outer 5 %.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the frame in pixels, from its left upper corner."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Layout:
    """The boxes of a frame: part and bar, the grip held now and its symbol, the next, the beat.

    Part, bar and beat may be left out. With a ``plate`` all stands on it, and nothing beside it.
    ``symbol_px`` and ``part_px`` are type sizes of the current symbol and of the part;
    ``next_px`` that of the waiting one.
    """

    name: str
    width: int
    height: int
    part: Box | None
    bar: Box | None
    grip: Box
    symbol: Box
    next_label: Box
    next_grip: Box
    next_symbol: Box
    beat: Box | None
    symbol_px: int
    next_px: int
    part_px: int
    bar_px: int
    bar_at_right: bool = True
    plate: Box | None = None
    plate_round: float = 24


WIDE = Layout(
    "wide", 1920, 1080,
    part=Box(96, 54, 1328, 140), bar=Box(1424, 54, 400, 140),
    grip=Box(96, 218, 720, 594),
    symbol=Box(880, 218, 944, 268),
    next_label=Box(880, 496, 240, 46),
    next_grip=Box(880, 542, 330, 270), next_symbol=Box(1240, 542, 584, 270),
    beat=Box(96, 866, 1728, 160),
    symbol_px=224, next_px=120, part_px=118, bar_px=60,
)  # fmt: skip
TALL = Layout(
    "tall", 1080, 1920,
    part=Box(54, 96, 972, 140), bar=Box(54, 236, 972, 90),
    symbol=Box(54, 346, 972, 250),
    grip=Box(54, 610, 972, 640),
    next_label=Box(54, 1282, 240, 46),
    next_grip=Box(54, 1328, 400, 324), next_symbol=Box(470, 1328, 556, 324),
    beat=Box(54, 1690, 972, 134),
    symbol_px=210, next_px=120, part_px=118, bar_px=60, bar_at_right=False,
)  # fmt: skip
PLATE = Layout(
    "plate", 1920, 1080,
    part=None, bar=None, beat=None, plate=Box(96, 54, 760, 972),
    symbol=Box(136, 62, 680, 154),
    grip=Box(136, 216, 680, 534),
    next_label=Box(136, 756, 240, 42),
    next_grip=Box(136, 798, 280, 210), next_symbol=Box(440, 798, 380, 210),
    symbol_px=126, next_px=100, part_px=118, bar_px=60,
)  # fmt: skip
