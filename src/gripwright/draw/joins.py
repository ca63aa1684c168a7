"""Slides and slurs between notes, drawn anew where verovio's do not serve.

In the tab verovio lays a short slide over the second figure and lifts a slur over the whole
staff. Here a slide runs from the edge of one figure to the edge of the other, rising or
falling with the frets, and a slur lies low between its two figures, under the next string.
Between close heads a slide is a mere dot, and is lengthened (common practice, no source).
Lengths are in verovio's units: strings lie 314 apart.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from lxml import etree

from gripwright.draw.look import SANS
from gripwright.draw.type import width

JOINED = ("slur@startid", "slur@endid", "gliss@startid", "gliss@endid")  # verovio is to tell
_SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_RISE, _GAP, _LINE = 62.0, 34.0, 27.0  # half a slide's slant; the air beside a figure; its line
_STRING, _LIFT = 0.34, 0.8  # from a figure's baseline up to its string; to the ends of a slur
_ARC, _BELLY = 92.0, 26.0  # how high a slur rises over its ends; how thick it is there
_SHORT, _REACH = 200.0, 52.0  # a slide between heads so short is lengthened so much at each end


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of the tab: its fret, middle, baseline, width and size of type."""

    fret: str
    x: float
    y: float
    wide: float
    size: float

    @property
    def left(self) -> float:
        """Return its left edge."""
        return self.x - self.wide / 2

    @property
    def right(self) -> float:
        """Return its right edge."""
        return self.x + self.wide / 2


def figure_of(text: etree._Element) -> Figure | None:
    """Return the figure that a text of the tab shows; None where it shows none."""
    fret = "".join(map(str, text.itertext())).strip()
    spans = [node for node in text.iter(f"{_SVG}tspan") if node.get("font-size")]
    if not fret or not spans:
        return None
    size = float(_NUMBER.findall(spans[-1].get("font-size", "324"))[0])
    wide = width(fret, size, f"{SANS} Regular")
    x = float(text.get("x", "0"))
    middle = x if text.get("text-anchor") == "middle" else x + wide / 2
    return Figure(fret, middle, float(text.get("y", "0")), wide, size)


def redraw_joins(root: etree._Element) -> None:
    """Draw the slides and slurs of a page anew where both of their notes are on it."""
    groups = {str(group.get("id")): group for group in root.iter(f"{_SVG}g")}
    for join in list(groups.values()):
        kind = str(join.get("class") or "").split()[:1]
        ids = [join.attrib.pop(name, "") for name in ("data-startid", "data-endid")]
        ends = [groups.get(str(name).lstrip("#")) for name in ids]
        path = join.find(f"{_SVG}path")
        if kind not in (["gliss"], ["slur"]) or path is None or None in ends:
            continue
        first, last = (_figure(end) for end in ends if end is not None)
        if first and last:
            _slide(path, first, last) if kind == ["gliss"] else _slur(path, first, last)
        elif kind == ["gliss"]:
            _lengthen(path)


def _figure(note: etree._Element) -> Figure | None:
    return next(filter(None, map(figure_of, note.iter(f"{_SVG}text"))), None)


def _slide(path: etree._Element, first: Figure, last: Figure) -> None:
    left, right = first.right + _GAP, last.left - _GAP
    frets = [int(figure.fret) if figure.fret.isdecimal() else 0 for figure in (first, last)]
    rise = _RISE if frets[1] >= frets[0] else -_RISE
    if right - left < _GAP:  # hardly any room: a steep line in the middle of it
        left, right = (left + right - _GAP) / 2, (left + right + _GAP) / 2
    ys = [figure.y - _STRING * figure.size for figure in (first, last)]
    _line(path, left, ys[0] + rise, right, ys[1] - rise)


def _slur(path: etree._Element, first: Figure, last: Figure) -> None:
    """Draw a crescent from above the first figure to above the last."""
    x1, x2 = first.x + first.wide / 5, last.x - last.wide / 5
    y1, y2 = (figure.y - _LIFT * figure.size for figure in (first, last))
    near, far = x1 + (x2 - x1) / 4, x2 - (x2 - x1) / 4
    over, under = 4 / 3 * _ARC, 4 / 3 * (_ARC - _BELLY)  # of the handles: the top lies at 3/4
    there = (x1, y1, near, y1 - over, far, y2 - over, x2, y2)
    back = (far, y2 - under, near, y1 - under, x1, y1)
    path.set("d", "M{:.0f} {:.0f} C{:.0f} {:.0f} {:.0f} {:.0f} {:.0f} {:.0f}".format(*there)
             + " C{:.0f} {:.0f} {:.0f} {:.0f} {:.0f} {:.0f}".format(*back))  # fmt: skip


def _lengthen(path: etree._Element) -> None:
    x1, y1, x2, y2 = map(float, _NUMBER.findall(path.get("d", ""))[:4])
    if 0 < x2 - x1 < _SHORT:
        slope = (y2 - y1) / (x2 - x1)
        _line(path, x1 - _REACH, y1 - slope * _REACH, x2 + _REACH, y2 + slope * _REACH)


def _line(path: etree._Element, x1: float, y1: float, x2: float, y2: float) -> None:
    path.set("d", f"M{x1:.0f} {y1:.0f} L{x2:.0f} {y2:.0f}")
    path.set("stroke-width", f"{_LINE:g}")
