"""The measures of grip diagrams: three weights, and where things stand in a drawing.

From the top: the symbol, the signs over the nut, the frets, the degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from gripwright.draw.frame import Frame

WeightName = Literal["page", "large", "small"]


@dataclass(frozen=True, slots=True)
class Weight:
    """The measures of a drawing, in ``unit``; ``mark`` is the width of a dot over `spacing`.

    ``text`` is the size of small letters (7 pt at the least on paper), ``name`` that of the
    symbol; ``letters`` False leaves fingers, degrees and symbol out.
    """

    unit: str
    spacing: float
    fret: float
    hairline: float
    nut: float
    mark: float
    text: float
    name: float
    letters: bool = True


WEIGHTS: dict[WeightName, Weight] = {
    "page": Weight("mm", 5.0, 5.5, 0.25, 1.0, 0.76, 2.65, 6.0),
    "large": Weight("px", 100, 118, 6.5, 24, 0.78, 58, 150),
    "small": Weight("mm", 1.9, 2.3, 0.2, 0.55, 0.74, 2.5, 3.0, letters=False),
}
MANY = 5  # frets; a wider window sets its frets closer


def page_width_mm(strings: int) -> float:
    """Return the width of a drawing of the page weight."""
    weight = WEIGHTS["page"]
    return gutter(weight) + (strings - 0.5) * weight.spacing


def page_axis_mm(strings: int) -> float:
    """Return where the middle of the strings is in a drawing of the page weight."""
    weight = WEIGHTS["page"]
    return gutter(weight) + (strings - 1) * weight.spacing / 2


def gutter(weight: Weight) -> float:
    """Return the room left of the strings, where the fret's number stands."""
    return max(1.6 * weight.spacing, 1.62 * weight.text)


@dataclass(frozen=True, slots=True)
class Measures:
    """Where things stand: ``named`` with a symbol above, ``coded`` with degrees beneath."""

    frame: Frame
    weight: Weight
    left_handed: bool
    named: bool
    coded: bool

    @property
    def gutter(self) -> float:
        """Return the room left of the strings."""
        return gutter(self.weight)

    @property
    def width(self) -> float:
        """Return the width of the drawing."""
        return self.gutter + (len(self.frame.strings) - 0.5) * self.weight.spacing

    @property
    def top(self) -> float:
        """Return where the nut is."""
        name = self.weight.name * 1.2 if self.named and self.weight.letters else 0.0
        return name + 1.06 * self.weight.spacing

    @property
    def fret(self) -> float:
        """Return the height of a fret."""
        return self.weight.fret * (1.0 if self.frame.count <= MANY else 0.74)

    @property
    def bottom(self) -> float:
        """Return where the last fret is."""
        return self.top + self.frame.count * self.fret

    @property
    def height(self) -> float:
        """Return the height of the drawing."""
        under = 1.75 * self.weight.text if self.coded and self.weight.letters else 0.0
        return self.bottom + 0.28 * self.weight.spacing + under

    def x(self, index: int) -> float:
        """Return where a string runs, 0 the bass side."""
        last = len(self.frame.strings) - 1
        return self.gutter + (last - index if self.left_handed else index) * self.weight.spacing

    def y(self, place: float) -> float:
        """Return the middle of a fret."""
        return self.top + (place - self.frame.first + 0.5) * self.fret
