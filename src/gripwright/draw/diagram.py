"""Grip diagrams as SVG: one drawing for the page, the video and a line of prose.

A mark on a string is a dot with its finger; with `tones` it takes the shape and colour of
the interval code, and the degree stands beneath its string. `x` and `o` are drawn, not typed.
Left-handed drawings mirror the strings, not the text. The page and small weights are in
millimetres, the large one in pixels.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from gripwright.draw.frame import Frame, Held, frame_of
from gripwright.draw.look import HAND, SANS, SHAPES, Palette, altered, family, palette
from gripwright.draw.pens import HandName, Mark, Pen, Pencil, Plain
from gripwright.draw.svg import clean, document, element
from gripwright.draw.symbols import fit, runs_text, symbol_svg
from gripwright.draw.words import grip_in_words
from gripwright.lesson.model import Finger
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.theory.interval import Degree
from gripwright.theory.symbol import ChordSymbol, Run

WeightName = Literal["page", "large", "small"]


class ToneLike(Protocol):
    """What a diagram needs of a tone: its string (1 = treble side) and its degree."""

    @property
    def string(self) -> int:
        """Return the string number."""

    @property
    def degree(self) -> Degree:
        """Return the degree."""


class BarreLike(Protocol):
    """A barre: its fret and its outer strings, 1 = treble side (`neck.hand.Barre` is one)."""

    @property
    def fret(self) -> int:
        """Return the fret, counted from the capo of its bass-side string."""

    @property
    def from_string(self) -> int:
        """Return its string on the bass side."""

    @property
    def to_string(self) -> int:
        """Return its string on the treble side."""


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


def diagram(
    grip: Grip,
    neck: Neck,
    *,
    fingers: Sequence[Finger | None] | None = None,
    tones: Sequence[ToneLike] | None = None,
    barres: Sequence[BarreLike] | None = None,
    symbol: ChordSymbol | Sequence[Run] | None = None,
    weight: WeightName = "page",
    hand: HandName = "plain",
    left_handed: bool = False,
    dark: bool = False,
    colours: Palette | None = None,
) -> str:
    """Return a grip as an SVG document, the same bytes for the same arguments.

    ``fingers`` has one entry a string, bass side first; where ``barres`` is None a finger on
    several strings of one fret lies across them. ``tones`` colour the marks by the interval
    code. Raises GripError if grip and neck have different numbers of strings.
    """
    runs = symbol.runs if isinstance(symbol, ChordSymbol) else tuple(symbol or ())
    pen: Pen = Plain() if hand == "plain" else Pencil(zlib.crc32(grip.text.encode()))
    frame = frame_of(grip, neck)
    drawing = _Drawing(
        frame, WEIGHTS[weight], pen, colours or palette(dark), left_handed,
        dict(enumerate(fingers or ())), {tone.string: tone.degree for tone in tones or ()}, runs,
    )  # fmt: skip
    return document(
        drawing.body(_spans(frame, fingers, barres)),
        width=drawing.width, height=drawing.height, unit=drawing.weight.unit,
        title=runs_text(runs) or f"grip {grip.text}",
        description=grip_in_words(grip, neck, fingers),
    )  # fmt: skip


def page_width_mm(strings: int) -> float:
    """Return the width of a drawing of the page weight."""
    weight = WEIGHTS["page"]
    return _gutter(weight) + (strings - 0.5) * weight.spacing


def page_axis_mm(strings: int) -> float:
    """Return where the middle of the strings is in a drawing of the page weight."""
    weight = WEIGHTS["page"]
    return _gutter(weight) + (strings - 1) * weight.spacing / 2


def _gutter(weight: Weight) -> float:
    """Return the room left of the strings, where the fret's number stands."""
    return max(1.6 * weight.spacing, 1.62 * weight.text)


def coded_mark(degree: Degree, size: float, middle: float, colours: Palette) -> str:
    """Return the mark of a degree about (``middle``, ``middle``), in the plain hand."""
    drawn = _coded(degree, size, Plain(), colours, 0)
    return element("g", drawn, transform=f"translate({middle:.3f} {middle:.3f})")


def _coded(degree: Degree, size: float, pen: Pen, colours: Palette, key: int) -> str:
    """Return the shape and colour of a degree; an altered one has a double outline."""
    kind = family(degree)
    shape, colour, radius, line = SHAPES[kind], colours.family(kind), size / 2, 0.1 * size
    if shape == "ring":
        drawn = pen.fill(Mark("disc", radius, key), colours.paper)
        if not altered(degree):
            return drawn + pen.outline(Mark(shape, radius - line / 2, key), line, colour)
        drawn += pen.outline(Mark(shape, radius - 0.35 * line, key), 0.7 * line, colour)
        return drawn + pen.outline(Mark(shape, radius - 1.5 * line, key), 0.5 * line, colour)
    drawn = pen.fill(Mark(shape, radius, key), colour)
    inline = Mark(shape, radius * 0.8, key)
    return drawn + (pen.outline(inline, 0.55 * line, colours.paper) if altered(degree) else "")


Span = tuple[int, int, int]  # place, first and last index of the strings


def _spans(
    frame: Frame, fingers: Sequence[Finger | None] | None, barres: Sequence[BarreLike] | None
) -> tuple[Span, ...]:
    """Return the barres, given or read from a finger that holds several strings of a place."""
    if barres is not None:
        return tuple(_given(frame, barre) for barre in barres)
    held: dict[tuple[Finger, int], list[int]] = {}
    for string, finger in zip(frame.strings, fingers or (), strict=False):
        if finger and string.place:
            held.setdefault((finger, string.place), []).append(string.index)
    return tuple((place, at[0], at[-1]) for (_, place), at in held.items() if len(at) > 1)


def _given(frame: Frame, barre: BarreLike) -> Span:
    count = len(frame.strings)
    first, last = count - barre.from_string, count - barre.to_string
    return (barre.fret + frame.stops[first], first, last)


@dataclass(frozen=True, slots=True)
class _Drawing:
    """One diagram: its window, measures, pen and colours."""

    frame: Frame
    weight: Weight
    pen: Pen
    colours: Palette
    left_handed: bool
    fingers: dict[int, Finger | None]
    degrees: dict[int, Degree]
    runs: tuple[Run, ...]

    # Measures, from the top: symbol, signs over the nut, frets, degrees.

    @property
    def gutter(self) -> float:
        """Return the room left of the strings."""
        return _gutter(self.weight)

    @property
    def width(self) -> float:
        return self.gutter + (len(self.frame.strings) - 0.5) * self.weight.spacing

    @property
    def top(self) -> float:
        """Return where the nut is."""
        name = self.weight.name * 1.2 if self.runs and self.weight.letters else 0.0
        return name + 1.06 * self.weight.spacing

    @property
    def fret(self) -> float:
        """Return the height of a fret."""
        return self.weight.fret * (1.0 if self.frame.count <= MANY else 0.74)

    @property
    def bottom(self) -> float:
        return self.top + self.frame.count * self.fret

    @property
    def height(self) -> float:
        under = 1.75 * self.weight.text if self.degrees and self.weight.letters else 0.0
        return self.bottom + 0.28 * self.weight.spacing + under

    def x(self, index: int) -> float:
        """Return where a string runs, 0 the bass side."""
        last = len(self.frame.strings) - 1
        return self.gutter + (last - index if self.left_handed else index) * self.weight.spacing

    def y(self, place: float) -> float:
        """Return the middle of a fret."""
        return self.top + (place - self.frame.first + 0.5) * self.fret

    # The drawing, back to front.

    def body(self, spans: Sequence[Span]) -> str:
        """Return everything drawn."""
        marks = [self._held(held) for held in self.frame.strings]
        parts = [*self._grid(), self._position(), *self._capo(), *map(self._bar, spans), *marks]
        if self.weight.letters:
            parts += [self._degree(held) for held in self.frame.strings]
            parts.append(self._name())
        return "".join(parts)

    def _grid(self) -> list[str]:
        """Return frets, strings and nut; strings run on where the neck does."""
        low, high = self.x(0), self.x(len(self.frame.strings) - 1)
        left, right = min(low, high), max(low, high)
        line, ink = self.weight.hairline, self.colours.ink
        reach = 0.22 * self.weight.spacing
        above = self.top - (0.0 if self.frame.at_nut else reach)
        rows = [
            self.pen.line((left, y), (right, y), line, ink)
            for step in range(self.frame.count + 1)
            for y in (self.top + step * self.fret,)
        ]
        columns = [
            self.pen.line((self.x(held.index), above), (self.x(held.index), self.bottom + reach),
                          line, ink)
            for held in self.frame.strings
        ]  # fmt: skip
        nut = []
        if self.frame.at_nut and not self.frame.capo:
            y, half = self.top - self.weight.nut / 2 + line / 2, line / 2
            nut = [self.pen.line((left - half, y), (right + half, y), self.weight.nut, ink)]
        return [element("g", *rows, *columns, *nut, class_="neck")]

    def _capo(self) -> list[str]:
        """Return the bar of a full capo in the nut's place, or of the stops of a partial one."""
        if self.frame.capo and self.frame.at_nut:
            y = self.top - self.weight.nut * 0.3
            reach = 0.24 * self.weight.spacing
            ends = (self.x(0), self.x(len(self.frame.strings) - 1))
            bar = self.pen.bar((min(ends) - reach, y), (max(ends) + reach, y),
                               1.5 * self.weight.nut, self.colours.ink)  # fmt: skip
            return [element("g", bar, class_="capo", data_fret=self.frame.capo)]
        return [self._stop(place) for place in sorted(set(self.frame.stops) - {0})]

    def _stop(self, place: int) -> str:
        """Return the bar of a partial capo, just behind the fret that it makes sound."""
        held = [index for index, stop in enumerate(self.frame.stops) if stop == place]
        if not self.frame.first <= place < self.frame.first + self.frame.count:
            return ""
        ends = sorted((self.x(held[0]), self.x(held[-1])))
        reach, y = 0.24 * self.weight.spacing, self.y(place) + 0.22 * self.fret
        bar = self.pen.bar((ends[0] - reach, y), (ends[1] + reach, y), 1.5 * self.weight.nut,
                           self.colours.quiet)  # fmt: skip
        return element("g", bar, class_="capo", data_fret=place)

    def _position(self) -> str:
        """Return the number of the first fret, or of the capo, beside it."""
        size, lift = self.weight.text, 0.33 * self.weight.text
        x = self.gutter - 0.54 * self.weight.spacing
        if self.frame.capo and self.frame.at_nut:
            up = self.top - self.weight.nut * 0.3 + lift
            return self._text("capo", x, up - 0.5 * size, size, self.colours.quiet, "end") + (
                self._text(str(self.frame.capo), x, up + 0.5 * size, size, self.colours.ink, "end")
            )
        if self.frame.at_nut:
            return ""
        y = self.y(self.frame.first) + lift
        return self._text(str(self.frame.first), x, y, size * 1.1, self.colours.ink, "end",
                          class_="position")  # fmt: skip

    def _bar(self, span: Span) -> str:
        """Return a barre under its dots."""
        place, first, last = span
        y = self.y(place)
        colour = self.colours.hairline if self.degrees else self.colours.ink
        wide = self.weight.spacing * self.weight.mark * (0.62 if self.degrees else 0.5)
        ends = sorted((self.x(first), self.x(last)))
        bar = self.pen.bar((ends[0], y), (ends[1], y), wide, colour)
        return element("g", bar, class_="barre", data_fret=place)

    def _held(self, held: Held) -> str:
        """Return what stands on a string: a cross, a sign over the nut, or a mark."""
        x = self.x(held.index)
        over = self.top - self.weight.nut * 0.5 - 0.46 * self.weight.spacing
        if held.place is None:
            return self._placed("mute", held, x, over, self._cross())
        degree = self.degrees.get(held.string)
        if held.open_ and degree is None:
            ring = Mark("ring", 0.2 * self.weight.spacing, held.index)
            drawn = self.pen.outline(ring, self.weight.hairline * 1.25, self.colours.ink)
            return self._placed("open", held, x, over, drawn)
        if held.open_:
            size = 0.6 * self.weight.spacing
            return self._placed("open", held, x, over, self._coded(degree, size, held.index))
        size = self.weight.spacing * self.weight.mark * (1.0 if degree is None else 1.06)
        drawn = self._coded(degree, size, held.index) + self._finger(held, degree)
        return self._placed("mark", held, x, self.y(held.place), drawn)

    def _placed(self, kind: str, held: Held, x: float, y: float, drawn: str) -> str:
        return element(
            "g", drawn, class_=kind, data_string=held.string, data_fret=held.place,
            transform=f"translate({x:.3f} {y:.3f})",
        )  # fmt: skip

    def _cross(self) -> str:
        arm, line = 0.18 * self.weight.spacing, self.weight.hairline * 1.35
        return self.pen.line((-arm, -arm), (arm, arm), line, self.colours.ink) + self.pen.line(
            (-arm, arm), (arm, -arm), line, self.colours.ink
        )

    def _coded(self, degree: Degree | None, size: float, key: int) -> str:
        """Return a mark: a dot, or the shape and colour of its degree."""
        if degree is None:
            return self.pen.fill(Mark("disc", size / 2, key), self.colours.ink)
        return _coded(degree, size, self.pen, self.colours, key)

    def _finger(self, held: Held, degree: Degree | None) -> str:
        finger = self.fingers.get(held.index)
        if not finger or not self.weight.letters:
            return ""
        shape = SHAPES[family(degree)] if degree is not None else "disc"
        colour = self.colours.family("fifth") if shape == "ring" else self.colours.paper
        size = self.weight.text * (0.95 if shape == "triangle" else 1)
        drop = (0.42 if shape == "triangle" else 0.33) * size
        return self._text(finger, 0, drop, size, colour, class_="finger")

    def _degree(self, held: Held) -> str:
        degree = self.degrees.get(held.string)
        if degree is None or held.place is None:
            return ""
        y = self.bottom + 0.28 * self.weight.spacing + 1.2 * self.weight.text
        return self._text(degree.pretty, self.x(held.index), y, self.weight.text,
                          self.colours.family(family(degree)), class_="degree")  # fmt: skip

    def _name(self) -> str:
        if not self.runs:
            return ""
        middle = (self.x(0) + self.x(len(self.frame.strings) - 1)) / 2
        room = 2 * min(middle, self.width - middle)
        size = fit(self.runs, self.weight.name, room)
        return symbol_svg(self.runs, middle, self.weight.name * 0.95, size,
                          colour=self.colours.ink, family=self.pen.family)  # fmt: skip

    def _text(
        self, text: str, x: float, y: float, size: float, colour: str, anchor: str = "middle",
        *, class_: str | None = None,
    ) -> str:  # fmt: skip
        bold = self.pen.family == SANS
        return element(
            "text", clean(text), x=x, y=y, font_family=self.pen.family,
            font_size=size * (1.12 if self.pen.family == HAND else 1),
            font_weight=600 if bold else None, text_anchor=anchor, fill=colour, class_=class_,
        )  # fmt: skip
