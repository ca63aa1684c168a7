"""Drawings whose letters are shapes, so that they look the same where our fonts are not.

A diagram given away as a file is opened in word processors and slides that know nothing of our
fonts; there a symbol set as text would change its face and perhaps lose its ♭. What the letters
say stays in the drawing as a label.
"""

from __future__ import annotations

import json
from functools import lru_cache
from xml.etree import ElementTree

from gripwright.draw.look import HAND, SANS
from gripwright.draw.svg import num
from gripwright.draw.type import FONT_FOLDER

_SVG = "http://www.w3.org/2000/svg"
_EM = 1000
Glyph = tuple[int, str]
Run = tuple[str, float, float]  # text, size, shift down


@lru_cache(maxsize=1)
def _faces() -> dict[str, dict[str, Glyph]]:
    text = (FONT_FOLDER / "outlines.json").read_text(encoding="utf-8")
    faces: dict[str, dict[str, Glyph]] = json.loads(text)
    return faces


def outlined(svg: str) -> str:
    """Return one of our drawings with every text turned into paths, kerning left out.

    A text with a sign that the table of shapes lacks stays text.

    >>> from gripwright.draw.svg import element
    >>> text = element("text", "C", x=0, y=0, font_family=SANS, font_size=10)
    >>> "<path" in outlined(f'<svg xmlns="{_SVG}">{text}</svg>')
    True
    """
    ElementTree.register_namespace("", _SVG)
    root = ElementTree.fromstring(svg)
    for parent in list(root.iter()):
        for place, node in enumerate(list(parent)):
            if node.tag == f"{{{_SVG}}}text":
                drawn = _drawn(node)
                if drawn is not None:
                    parent[place] = drawn
    return ElementTree.tostring(root, encoding="unicode") + "\n"


def _face(node: ElementTree.Element) -> dict[str, Glyph]:
    if node.get("font-family", "").startswith(HAND):
        return _faces()[f"{HAND} Regular"]
    style = "SemiBold" if node.get("font-weight") == "600" else "Regular"
    return _faces()[f"{SANS} {style}"]


def _runs(node: ElementTree.Element) -> list[Run]:
    """Return the runs of a text with their sizes and how far each is shifted down."""
    size, shift = float(node.get("font-size", "0")), 0.0
    runs = [(node.text or "", size, shift)]
    for span in node:
        shift += float(span.get("dy", "0"))
        runs.append((span.text or "", float(span.get("font-size", size)), shift))
    return [run for run in runs if run[0]]


def _drawn(node: ElementTree.Element) -> ElementTree.Element | None:
    """Return the group of paths that stands for a text, None where a shape is missing."""
    face, runs = _face(node), _runs(node)
    if any(sign not in face for text, _, _ in runs for sign in text):
        return None
    wide = sum(face[sign][0] * size / _EM for text, size, _ in runs for sign in text)
    anchor = {"middle": 0.5, "end": 1.0}.get(node.get("text-anchor", ""), 0.0)
    x, y = float(node.get("x", "0")) - anchor * wide, float(node.get("y", "0"))
    group = ElementTree.Element(f"{{{_SVG}}}g", {"fill": node.get("fill", "#000000")})
    if node.get("class"):
        group.set("class", node.get("class", ""))
    group.set("aria-label", "".join(text for text, _, _ in runs))
    for text, size, shift in runs:
        for sign in text:
            advance, shape = face[sign]
            if shape:
                scale = size / _EM
                move = f"translate({num(x)} {num(y + shift)}) scale({scale:.5f} {-scale:.5f})"
                path = {"d": shape, "transform": move}
                group.append(ElementTree.Element(f"{{{_SVG}}}path", path))
            x += advance * size / _EM
    return group
