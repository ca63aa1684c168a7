"""The dress of engraved music: our type, colours and real accidentals on what verovio draws.

What is told by a style sheet there is told by attributes here, so that a page with a strict
content policy may embed it.
"""

from __future__ import annotations

import re

from lxml import etree

from gripwright.draw.joins import figure_of, redraw_joins
from gripwright.draw.look import LIGHT, SANS
from gripwright.draw.symbols import RAISED_BY, RAISED_SIZE, plain_runs
from gripwright.errors import SymbolError
from gripwright.theory.symbol import Run, parse_symbol

SVG = "{http://www.w3.org/2000/svg}"
_RAISED = RAISED_SIZE * 1.12  # engraved symbols are small: 7 pt at the least
_WORDS_PX = 360
_SIGNS = str.maketrans({"\uea64": "♭", "\uea65": "♮", "\uea66": "♯",
                        "\ue260": "♭", "\ue261": "♮", "\ue262": "♯"})  # fmt: skip
_PAINTED = frozenset(f"{SVG}{tag}" for tag in ("ellipse", "path", "polygon", "polyline", "rect"))
_STYLES = (("ending", "font-weight", "600"), ("tempo", "font-weight", "600"),
           ("fing", "font-weight", "600"), ("dir", "font-style", "italic"),
           ("dynam", "font-style", "italic"))  # fmt: skip
# What verovio draws and the page does not want: editing aids, braces, and bar numbers, which
# it counts through.
_SPARE = ("placeholder", "grpSym", "mNum")


def dress(root: etree._Element, ground: str) -> tuple[str, ...]:
    """Change a page of verovio's in place; return the chord symbols on it, left to right.

    ``ground`` masks the strings of the tab behind its figures.
    """
    _clear(root)
    chords = tuple(filter(None, (_harmony(group) for group in _groups(root, "harm"))))
    redraw_joins(root)
    for group in _groups(root, "tabGrp"):
        _mask(group, ground)
    for words in _groups(root, "dir"):
        _small(words)
    for name, attribute, value in _STYLES:
        for group in _groups(root, name):
            group.set(attribute, value)
    _paint(root)
    return chords


def _clear(root: etree._Element) -> None:
    """Take out what is hidden, said elsewhere, or a style sheet."""
    for bar in _groups(root, "measure"):
        for staff in bar.findall(f"{SVG}g[@class='staff']")[1:]:
            for metre in _groups(staff, "meterSig"):
                drop(metre)  # said once, above
    hidden = root.findall(f".//{SVG}g[@visibility='hidden']")
    spare = [group for name in _SPARE for group in _groups(root, name)]
    for node in [*root.iter(f"{SVG}style"), *hidden, *spare]:
        drop(node)
    for text in [text for group in _groups(root, "ending") for text in group.iter(f"{SVG}text")]:
        if "(" in "".join(map(str, text.itertext())):
            drop(text)  # an ending that goes on from the line above needs no number


def drop(node: etree._Element) -> None:
    """Take an element out of its parent, and the parent too where nothing is left in it."""
    parent = node.getparent()
    if parent is not None:
        parent.remove(node)
        if len(parent) == 0 and parent.tag in ("direction-type", "direction"):
            drop(parent)


def _groups(root: etree._Element, name: str) -> list[etree._Element]:
    return [group for group in root.iter(f"{SVG}g") if name in group.get("class", "").split()]


def _paint(root: etree._Element) -> None:
    """Put colours and fonts in attributes; glyph outlines keep theirs; spare ids go."""
    inner = root.find(f"{SVG}svg")
    if inner is None:
        return
    for name, value in (("color", LIGHT.ink), ("fill", LIGHT.ink), ("font-family", SANS)):
        inner.set(name, value)
    for node in (root, *inner.iter()):
        for name in ("id", "overflow", "{http://www.w3.org/XML/1998/namespace}lang"):
            if name in node.attrib:
                del node.attrib[name]
        if node.tag in _PAINTED and node.get("stroke") is None and node.get("class") != "mask":
            node.set("stroke", LIGHT.ink)
        if node.tag == f"{SVG}tspan":
            _real_signs(node)
    for staff in _groups(inner, "staff"):
        _whole_lines(staff)


def _whole_lines(staff: etree._Element) -> None:
    """Draw each line of a staff in one: verovio breaks those of the tab at every figure."""
    lines: dict[str, list[etree._Element]] = {}
    for line in staff.findall(f"{SVG}path"):
        lines.setdefault(line.get("d", "").split()[-1], []).append(line)
    for y, pieces in lines.items():
        ends = [float(piece.get("d", "").split()[0][1:]) for piece in pieces]
        ends += [float(piece.get("d", "").split()[2][1:]) for piece in pieces]
        pieces[0].set("d", f"M{min(ends):g} {y} L{max(ends):g} {y}")
        pieces[0].set("stroke-width", "13")
        for piece in pieces[1:]:
            staff.remove(piece)


def _small(words: etree._Element) -> None:
    """Set directions in one size: over a tab verovio swells them with its wide staff."""
    for span in words.iter(f"{SVG}tspan"):
        if "font-size" in span.attrib:
            span.set("font-size", f"{_WORDS_PX}px")


def _real_signs(span: etree._Element) -> None:
    """Turn accidentals of the music font's private area into real ones in our type."""
    text = (span.text or "").translate(_SIGNS)
    if text.strip() and text != span.text:
        span.text = text
        span.attrib.pop("font-family", "")
        span.set("font-size", "405px")


def _harmony(group: etree._Element) -> str:
    """Set a chord symbol in our type; return its text."""
    text = group.find(f"{SVG}text")
    if text is None:
        return ""
    spans = [node for node in text.iter(f"{SVG}tspan") if node.text and node.text.strip()]
    name = "".join((node.text or "").strip() for node in spans).translate(_SIGNS)
    plain = [node for node in spans if "Leipzig" not in node.get("font-family", "")]
    size = float(re.sub("[^0-9.]", "", (plain or spans)[0].get("font-size", "405"))) if spans else 0
    for child in list(text):
        text.remove(child)
    text.text = None
    text.set("font-size", f"{size:g}px")
    text.set("font-weight", "600")
    level = 0.0
    for run in _runs(name):
        span = etree.SubElement(text, f"{SVG}tspan")
        span.text = run.text
        want = RAISED_BY * size if run.raised else 0.0
        if run.raised:
            span.set("font-size", f"{size * _RAISED:g}px")
        if want != level:
            span.set("dy", f"{level - want:g}")
        level = want
    return name


def _runs(name: str) -> tuple[Run, ...]:
    try:
        return parse_symbol(name).runs
    except SymbolError:
        return plain_runs(name)


def _mask(group: etree._Element, ground: str) -> None:
    """Clear the string behind each figure of the tab."""
    for text in group.iter(f"{SVG}text"):
        figure = figure_of(text)
        if figure is None:
            continue
        wide, size = figure.wide + 0.16 * figure.size, figure.size
        left, y = figure.x - wide / 2, figure.y
        mask = etree.Element(f"{SVG}rect", {
            "class": "mask", "x": f"{left:.0f}", "y": f"{y - 0.72 * size:.0f}",
            "width": f"{wide:.0f}", "height": f"{0.8 * size:.0f}", "fill": ground,
        })  # fmt: skip
        text.addprevious(mask)
