"""The two hands that draw: plain, and pencil with a steady slight wobble.

Both draw the same figures at the same places; a pencil is seeded, so it draws the same grip
the same way every time.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from gripwright.draw.look import HAND, SANS, Shape
from gripwright.draw.svg import element, num

HandName = Literal["plain", "pencil"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark about the origin: its shape, its size as the radius of a disc that looks as large.

    ``key`` tells one mark from another of the same kind, for a hand that never draws twice
    alike.
    """

    shape: Shape
    radius: float
    key: int = 0


class Pen(Protocol):
    """Draw lines, bars and marks; `family` is the face that letters are set in."""

    @property
    def family(self) -> str:
        """Return the font family of this hand."""

    def line(self, start: Point, end: Point, width: float, colour: str) -> str:
        """Return a straight stroke."""

    def outline(self, mark: Mark, width: float, colour: str) -> str:
        """Return the outline of a mark about the origin."""

    def fill(self, mark: Mark, colour: str) -> str:
        """Return a filled mark about the origin."""

    def bar(self, start: Point, end: Point, width: float, colour: str) -> str:
        """Return a bar with round ends."""


def corners(shape: Shape, radius: float) -> tuple[Point, ...]:
    """Return the corners of a mark of the optical size of a disc of that radius."""
    if shape == "square":
        side = radius * 0.88
        return ((-side, -side), (side, -side), (side, side), (-side, side))
    if shape == "diamond":
        half = radius * 1.2
        return ((0, -half), (half, 0), (0, half), (-half, 0))
    half, up, down = radius * 1.2, radius * 1.22, radius * 0.86
    return ((0, -up), (half, down), (-half, down))


@dataclass(frozen=True, slots=True)
class Plain:
    """The engraver's hand."""

    family: str = SANS

    def line(self, start: Point, end: Point, width: float, colour: str) -> str:
        """Return a straight stroke."""
        return element(
            "line", x1=start[0], y1=start[1], x2=end[0], y2=end[1],
            stroke=colour, stroke_width=width,
        )  # fmt: skip

    def outline(self, mark: Mark, width: float, colour: str) -> str:
        """Return the outline of a mark about the origin."""
        return self._figure(mark, fill="none", stroke=colour, stroke_width=width)

    def fill(self, mark: Mark, colour: str) -> str:
        """Return a filled mark about the origin."""
        return self._figure(mark, fill=colour)

    def bar(self, start: Point, end: Point, width: float, colour: str) -> str:
        """Return a bar with round ends."""
        return element(
            "line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], stroke=colour,
            stroke_width=width, stroke_linecap="round",
        )  # fmt: skip

    def _figure(self, mark: Mark, **paint: str | float) -> str:
        shape, radius = mark.shape, mark.radius
        if shape in ("disc", "ring"):
            return element("circle", r=radius, **paint)
        if shape == "square":
            side = radius * 0.88
            return element("rect", x=-side, y=-side, width=2 * side, height=2 * side,
                           rx=radius * 0.2, **paint)  # fmt: skip
        points = " ".join(f"{num(x)},{num(y)}" for x, y in corners(shape, radius))
        return element("polygon", points=points, stroke_linejoin="round", **paint)


@dataclass(frozen=True, slots=True)
class Pencil:
    """A teacher's hand: the same figures, never quite straight."""

    seed: int
    family: str = HAND

    def _dice(self, *place: float | str) -> random.Random:
        return random.Random(f"{self.seed} {place}")

    def line(self, start: Point, end: Point, width: float, colour: str) -> str:
        """Return a stroke with a slight bow and uneven ends."""
        dice = self._dice("line", *map(num, (*start, *end)))
        long = math.dist(start, end) or 1.0
        across = ((start[1] - end[1]) / long, (end[0] - start[0]) / long)
        sway = min(0.008 * long, 1.1 * width)
        points = []
        for share in (0, 1 / 3, 2 / 3, 1):
            off = dice.uniform(-sway, sway)
            on = dice.uniform(-0.4, 0.4) * width if share in (0, 1) else 0.0
            along = share + on / long
            points.append((start[0] + (end[0] - start[0]) * along + across[0] * off,
                           start[1] + (end[1] - start[1]) * along + across[1] * off))  # fmt: skip
        a, b, c, d = (f"{num(x)} {num(y)}" for x, y in points)
        return element("path", d=f"M{a}C{b} {c} {d}", fill="none", stroke=colour,
                       stroke_width=width * 1.1, stroke_linecap="round")  # fmt: skip

    def outline(self, mark: Mark, width: float, colour: str) -> str:
        """Return the outline of a mark about the origin."""
        return element("path", d=self._closed(mark), fill="none", stroke=colour,
                       stroke_width=width, stroke_linejoin="round")  # fmt: skip

    def fill(self, mark: Mark, colour: str) -> str:
        """Return a filled mark about the origin."""
        return element("path", d=self._closed(mark), fill=colour, stroke=colour,
                       stroke_width=mark.radius * 0.08, stroke_linejoin="round")  # fmt: skip

    def bar(self, start: Point, end: Point, width: float, colour: str) -> str:
        """Return a bar with round ends."""
        return self.line(start, end, width / 1.1, colour)

    def _closed(self, mark: Mark) -> str:
        dice = self._dice(mark.shape, num(mark.radius), mark.key)
        points = _dense(mark.shape, mark.radius)
        phase, lean = dice.uniform(0, 6.28), dice.choice((2, 3))
        moved = []
        for step, (x, y) in enumerate(points):
            turn = 2 * math.pi * step / len(points)
            stretch = 1 + 0.035 * math.sin(lean * turn + phase) + dice.uniform(-0.012, 0.012)
            moved.append((x * stretch, y * stretch))
        return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in moved) + "Z"


def _dense(shape: Shape, radius: float) -> Sequence[Point]:
    """Return the closed outline as many points."""
    if shape in ("disc", "ring"):
        turns = [2 * math.pi * step / 28 for step in range(28)]
        return [(radius * math.cos(turn), radius * math.sin(turn)) for turn in turns]
    ends = corners(shape, radius)
    points = []
    for (x0, y0), (x1, y1) in zip(ends, (*ends[1:], ends[0]), strict=True):
        points += [(x0 + (x1 - x0) * k / 8, y0 + (y1 - y0) * k / 8) for k in range(8)]
    return points
