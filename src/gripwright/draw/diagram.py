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
from typing import Protocol

from gripwright.draw.frame import Frame, Held, frame_of
from gripwright.draw.look import HAND, SANS, SHAPES, Palette, family, palette
from gripwright.draw.marks import code_mark
from gripwright.draw.measures import WEIGHTS, Measures, WeightName
from gripwright.draw.pens import HandName, Mark, Pen, Pencil, Plain
from gripwright.draw.svg import clean, document, element
from gripwright.draw.symbols import fit, runs_text, symbol_svg
from gripwright.draw.words import grip_in_words
from gripwright.lesson.model import Finger
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.theory.interval import Degree
from gripwright.theory.symbol import ChordSymbol, Run


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
    at = Measures(frame, WEIGHTS[weight], left_handed, bool(runs), bool(tones))
    drawing = _Drawing(
        at, pen, colours or palette(dark), dict(enumerate(fingers or ())),
        {tone.string: tone.degree for tone in tones or ()}, runs,
    )  # fmt: skip
    return document(
        drawing.body(_spans(frame, fingers, barres)),
        width=at.width, height=at.height, unit=at.weight.unit,
        title=runs_text(runs) or f"grip {grip.text}",
        description=grip_in_words(grip, neck, fingers),
    )  # fmt: skip


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
    """One diagram, drawn back to front."""

    at: Measures
    pen: Pen
    colours: Palette
    fingers: dict[int, Finger | None]
    degrees: dict[int, Degree]
    runs: tuple[Run, ...]

    def body(self, spans: Sequence[Span]) -> str:
        """Return everything drawn."""
        marks = [self._held(held) for held in self.at.frame.strings]
        parts = [*self._grid(), self._position(), *self._capo(), *map(self._bar, spans), *marks]
        if self.at.weight.letters:
            parts += [self._degree(held) for held in self.at.frame.strings]
            parts.append(self._name())
        return "".join(parts)

    def _grid(self) -> list[str]:
        """Return frets, strings and nut; strings run on where the neck does."""
        low, high = self.at.x(0), self.at.x(len(self.at.frame.strings) - 1)
        left, right = min(low, high), max(low, high)
        line, ink = self.at.weight.hairline, self.colours.ink
        reach = 0.22 * self.at.weight.spacing
        above = self.at.top - (0.0 if self.at.frame.at_nut else reach)
        rows = [
            self.pen.line((left, y), (right, y), line, ink)
            for step in range(self.at.frame.count + 1)
            for y in (self.at.top + step * self.at.fret,)
        ]
        across = [self.at.x(held.index) for held in self.at.frame.strings]
        columns = [
            self.pen.line((x, above), (x, self.at.bottom + reach), line, ink) for x in across
        ]
        nut = []
        if self.at.frame.at_nut and not self.at.frame.capo:
            y, half = self.at.top - self.at.weight.nut / 2 + line / 2, line / 2
            nut = [self.pen.line((left - half, y), (right + half, y), self.at.weight.nut, ink)]
        return [element("g", *rows, *columns, *nut, class_="neck")]

    def _capo(self) -> list[str]:
        """Return the bar of a full capo in the nut's place, or of the stops of a partial one."""
        if self.at.frame.capo and self.at.frame.at_nut:
            y = self.at.top - self.at.weight.nut * 0.3
            reach = 0.24 * self.at.weight.spacing
            ends = (self.at.x(0), self.at.x(len(self.at.frame.strings) - 1))
            bar = self.pen.bar((min(ends) - reach, y), (max(ends) + reach, y),
                               1.5 * self.at.weight.nut, self.colours.ink)  # fmt: skip
            return [element("g", bar, class_="capo", data_fret=self.at.frame.capo)]
        return [self._stop(place) for place in sorted(set(self.at.frame.stops) - {0})]

    def _stop(self, place: int) -> str:
        """Return the bar of a partial capo, just behind the fret that it makes sound."""
        held = [index for index, stop in enumerate(self.at.frame.stops) if stop == place]
        if not self.at.frame.first <= place < self.at.frame.first + self.at.frame.count:
            return ""
        ends = sorted((self.at.x(held[0]), self.at.x(held[-1])))
        reach, y = 0.24 * self.at.weight.spacing, self.at.y(place) + 0.22 * self.at.fret
        bar = self.pen.bar((ends[0] - reach, y), (ends[1] + reach, y), 1.5 * self.at.weight.nut,
                           self.colours.quiet)  # fmt: skip
        return element("g", bar, class_="capo", data_fret=place)

    def _position(self) -> str:
        """Return the number of the first fret, or of the capo, beside it."""
        size, lift = self.at.weight.text, 0.33 * self.at.weight.text
        x = self.at.gutter - 0.54 * self.at.weight.spacing
        if self.at.frame.capo and self.at.frame.at_nut:
            up = self.at.top - self.at.weight.nut * 0.3 + lift
            return self._text("capo", x, up - 0.5 * size, size, self.colours.quiet, "end") + (
                self._text(
                    str(self.at.frame.capo), x, up + 0.5 * size, size, self.colours.ink, "end"
                )
            )
        if self.at.frame.at_nut:
            return ""
        y = self.at.y(self.at.frame.first) + lift
        return self._text(str(self.at.frame.first), x, y, size * 1.1, self.colours.ink, "end",
                          class_="position")  # fmt: skip

    def _bar(self, span: Span) -> str:
        """Return a barre under its dots."""
        place, first, last = span
        y = self.at.y(place)
        colour = self.colours.hairline if self.degrees else self.colours.ink
        wide = self.at.weight.spacing * self.at.weight.mark * (0.62 if self.degrees else 0.5)
        ends = sorted((self.at.x(first), self.at.x(last)))
        bar = self.pen.bar((ends[0], y), (ends[1], y), wide, colour)
        return element("g", bar, class_="barre", data_fret=place)

    def _held(self, held: Held) -> str:
        """Return what stands on a string: a cross, a sign over the nut, or a mark."""
        x = self.at.x(held.index)
        over = self.at.top - self.at.weight.nut * 0.5 - 0.46 * self.at.weight.spacing
        if held.place is None:
            return self._placed("mute", held, x, over, self._cross())
        degree = self.degrees.get(held.string)
        if held.open_ and degree is None:
            ring = Mark("ring", 0.2 * self.at.weight.spacing, held.index)
            drawn = self.pen.outline(ring, self.at.weight.hairline * 1.25, self.colours.ink)
            return self._placed("open", held, x, over, drawn)
        if held.open_:
            size = 0.6 * self.at.weight.spacing
            return self._placed("open", held, x, over, self._coded(degree, size, held.index))
        size = self.at.weight.spacing * self.at.weight.mark * (1.0 if degree is None else 1.06)
        drawn = self._coded(degree, size, held.index) + self._finger(held, degree)
        return self._placed("mark", held, x, self.at.y(held.place), drawn)

    def _placed(self, kind: str, held: Held, x: float, y: float, drawn: str) -> str:
        return element(
            "g", drawn, class_=kind, data_string=held.string, data_fret=held.place,
            transform=f"translate({x:.3f} {y:.3f})",
        )  # fmt: skip

    def _cross(self) -> str:
        arm, line = 0.18 * self.at.weight.spacing, self.at.weight.hairline * 1.35
        return self.pen.line((-arm, -arm), (arm, arm), line, self.colours.ink) + self.pen.line(
            (-arm, arm), (arm, -arm), line, self.colours.ink
        )

    def _coded(self, degree: Degree | None, size: float, key: int) -> str:
        """Return a mark: a dot, or the shape and colour of its degree."""
        if degree is None:
            return self.pen.fill(Mark("disc", size / 2, key), self.colours.ink)
        return code_mark(degree, size, self.pen, self.colours, key)

    def _finger(self, held: Held, degree: Degree | None) -> str:
        finger = self.fingers.get(held.index)
        if not finger or not self.at.weight.letters:
            return ""
        shape = SHAPES[family(degree)] if degree is not None else "disc"
        colour = self.colours.family("fifth") if shape == "ring" else self.colours.paper
        size = self.at.weight.text * (0.95 if shape == "triangle" else 1)
        drop = (0.42 if shape == "triangle" else 0.33) * size
        return self._text(finger, 0, drop, size, colour, class_="finger")

    def _degree(self, held: Held) -> str:
        degree = self.degrees.get(held.string)
        if degree is None or held.place is None:
            return ""
        y = self.at.bottom + 0.28 * self.at.weight.spacing + 1.2 * self.at.weight.text
        return self._text(degree.pretty, self.at.x(held.index), y, self.at.weight.text,
                          self.colours.family(family(degree)), class_="degree")  # fmt: skip

    def _name(self) -> str:
        if not self.runs:
            return ""
        middle = (self.at.x(0) + self.at.x(len(self.at.frame.strings) - 1)) / 2
        room = 2 * min(middle, self.at.width - middle)
        size = fit(self.runs, self.at.weight.name, room)
        return symbol_svg(self.runs, middle, self.at.weight.name * 0.95, size,
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
