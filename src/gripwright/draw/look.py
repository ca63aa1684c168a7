"""The look: palette, type and the interval code that page, screen and video share.

The interval code tells the family of a degree by shape, then by colour; an altered fifth or
tension has a double outline; the degree itself is always written beside it. So it reads in
black and white and to colour-blind eyes. Everything here is our own (docs/look.md).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from gripwright.theory.interval import Degree

Family = Literal["root", "third", "fifth", "seventh", "tension"]
Shape = Literal["square", "disc", "ring", "diamond", "triangle"]

SERIF = "Gripwright Serif"
SANS = "Gripwright Sans"
HAND = "Gripwright Hand"

SHAPES: dict[Family, Shape] = {
    "root": "square",
    "third": "disc",
    "fifth": "ring",
    "seventh": "diamond",
    "tension": "triangle",
}
_FAMILIES: dict[int, Family] = {1: "root", 2: "third", 3: "third", 4: "third", 5: "fifth",
                                6: "seventh", 7: "seventh", 8: "root", 10: "third",
                                12: "fifth", 14: "seventh", 15: "root"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours of one ground as ``#RRGGBB``; `families` colours the interval code."""

    paper: str
    ink: str
    quiet: str
    hairline: str
    accent: str
    families: tuple[tuple[Family, str], ...]

    def family(self, family: Family) -> str:
        """Return the colour of a family of degrees."""
        return dict(self.families)[family]


LIGHT = Palette(
    paper="#FBF9F4", ink="#1D2433", quiet="#6B7280", hairline="#D9D4C7", accent="#B4381F",
    families=(("root", "#1D2433"), ("third", "#00696F"), ("fifth", "#4B5563"),
              ("seventh", "#7A2F6B"), ("tension", "#8A4B00")),
)  # fmt: skip
PRINT = replace(LIGHT, paper="#FFFFFF")
DARK = Palette(
    paper="#15181F", ink="#ECE8DF", quiet="#9AA3B2", hairline="#2C323E", accent="#F0805F",
    families=(("root", "#ECE8DF"), ("third", "#4FC3C7"), ("fifth", "#AEB7C4"),
              ("seventh", "#D98CC6"), ("tension", "#E9A84C")),
)  # fmt: skip


def palette(dark: bool = False) -> Palette:
    """Return the palette of the light or of the dark ground."""
    return DARK if dark else LIGHT


def family(degree: Degree) -> Family:
    """Return the family of a degree; a second or fourth stands for the third.

    >>> from gripwright.theory.interval import parse_degree
    >>> family(parse_degree("b7")), family(parse_degree("4")), family(parse_degree("#11"))
    ('seventh', 'third', 'tension')
    """
    return _FAMILIES.get(degree.number, "tension")


def altered(degree: Degree) -> bool:
    """Return whether a degree is an altered fifth or tension, drawn with a double outline.

    >>> from gripwright.theory.interval import parse_degree
    >>> [altered(parse_degree(text)) for text in ("b3", "b7", "b5", "#11")]
    [False, False, True, True]
    """
    return degree.alter != 0 and family(degree) in ("fifth", "tension")


def luminance(colour: str) -> float:
    """Return the relative luminance of ``#RRGGBB``, 0 to 1 (WCAG 2.2, relative luminance)."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return 0.2126 * _linear(red) + 0.7152 * _linear(green) + 0.0722 * _linear(blue)


def _linear(share: float) -> float:
    return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21 (WCAG 2.2, contrast ratio).

    >>> contrast("#000000", "#FFFFFF")
    21.0
    """
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)
