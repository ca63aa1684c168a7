"""The marks of the interval code: shape and colour by family, a double outline where altered."""

from __future__ import annotations

from gripwright.draw.look import SHAPES, Palette, altered, family
from gripwright.draw.pens import Mark, Pen, Plain
from gripwright.draw.svg import element
from gripwright.theory.interval import Degree


def coded_mark(degree: Degree, size: float, middle: float, colours: Palette) -> str:
    """Return the mark of a degree about (``middle``, ``middle``), in the plain hand."""
    drawn = code_mark(degree, size, Plain(), colours, 0)
    return element("g", drawn, transform=f"translate({middle:.3f} {middle:.3f})")


def code_mark(degree: Degree, size: float, pen: Pen, colours: Palette, key: int) -> str:
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
