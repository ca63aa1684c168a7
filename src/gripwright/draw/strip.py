"""A right-hand pattern as a strip: strokes over the beats, drawn and in words.

Strums are the bow signs that notation uses (a bracket down, a wedge up), plucked fingers
their letters one above the other as the strings lie, the thumb below. An accent has its sign
above, a ghost stroke stands in parentheses.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from gripwright.beats import Metre
from gripwright.draw.look import PRINT, SANS, Palette
from gripwright.draw.svg import clean, document, element
from gripwright.lesson.model import Pattern, Stroke

WIDTH_MM, EDGE_MM, TEXT_MM = 66.0, 2.4, 2.7
_MIDDLE_MM, _THUMB_MM, _LINE_MM = 6.2, 12.4, 14.4
HEIGHT_MM = 19.0
_LETTERS = {"p": "thumb", "i": "index", "m": "middle", "a": "ring finger", "c": "little finger"}
_KINDS = {"down": "down", "up": "up", "roll-up": "roll up", "roll-down": "roll down"}


def strip(pattern: Pattern, metre: Metre, *, colours: Palette = PRINT) -> str:
    """Return the strip as SVG, in millimetres; ``metre`` says where the beats are."""
    body = "".join((*_beats(pattern, metre, colours), *_signs(pattern, colours)))
    return document(
        body, width=WIDTH_MM, height=HEIGHT_MM, unit="mm", title=pattern.name,
        description=pattern_in_words(pattern, metre),
    )  # fmt: skip


def _x(pattern: Pattern, offset: Fraction) -> float:
    return EDGE_MM + (WIDTH_MM - 2 * EDGE_MM) * float(offset / pattern.length)


def _beat_starts(pattern: Pattern, metre: Metre) -> Iterator[tuple[int, Fraction]]:
    """Yield the number in its bar and the offset of each beat of a pattern."""
    bar = Fraction(0)
    while bar < pattern.length:
        for number, start in enumerate(metre.beat_starts, start=1):
            if bar + start < pattern.length:
                yield number, bar + start
        bar += metre.length


def _beats(pattern: Pattern, metre: Metre, colours: Palette) -> Iterator[str]:
    """Yield the line of the beats with their numbers."""
    end = WIDTH_MM - EDGE_MM
    yield element("line", x1=EDGE_MM, y1=_LINE_MM, x2=end, y2=_LINE_MM,
                  stroke=colours.hairline, stroke_width=0.25)  # fmt: skip
    for number, start in _beat_starts(pattern, metre):
        x = _x(pattern, start)
        yield element("line", x1=x, y1=_LINE_MM, x2=x, y2=_LINE_MM + 0.9,
                      stroke=colours.quiet, stroke_width=0.25)  # fmt: skip
        yield _text(str(number), x, _LINE_MM + 3.6, colours.quiet)


def _signs(pattern: Pattern, colours: Palette) -> Iterator[str]:
    for stroke in pattern.strokes:
        x = _x(pattern, stroke.offset)
        colour = colours.quiet if stroke.ghost else colours.ink
        if stroke.kind == "pluck":
            yield from _pluck(stroke, x, colour)
        else:
            yield _strum(stroke, x, colour)
        if stroke.accent:
            yield _path(f"M{x - 1:.2f} 2.1L{x + 1:.2f} 2.8L{x - 1:.2f} 3.5", colours.ink, 0.3)
        if stroke.ghost:
            yield _text("(", x - 2.1, _MIDDLE_MM + 1.9, colour, size=1.4)
            yield _text(")", x + 2.1, _MIDDLE_MM + 1.9, colour, size=1.4)


def _strum(stroke: Stroke, x: float, colour: str) -> str:
    """Return a down stroke's bracket or an up stroke's wedge; a roll's is waved beneath."""
    top, low = _MIDDLE_MM - 0.6, _MIDDLE_MM + 2.2
    if stroke.kind in ("up", "roll-up"):
        sign = _path(f"M{x - 1.1:.2f} {top}L{x:.2f} {low}L{x + 1.1:.2f} {top}", colour, 0.35)
    else:
        sign = _path(f"M{x - 1.1:.2f} {low}V{top}H{x + 1.1:.2f}V{low}", colour, 0.35) + _path(
            f"M{x - 1.1:.2f} {top + 0.35}H{x + 1.1:.2f}", colour, 0.9
        )
    if stroke.kind.startswith("roll"):
        sign += _path(f"M{x:.2f} {low + 0.8:.2f}q0.7 0.5 0 1t0 1 0 1", colour, 0.3)
    return sign


def _pluck(stroke: Stroke, x: float, colour: str) -> Iterator[str]:
    """Yield the letters of a pluck, or its strings: the thumb low, the others stacked."""
    signs = stroke.fingers or tuple(map(str, stroke.strings))
    high = [sign for sign in signs if sign != "p"]
    for step, sign in enumerate(high):
        yield _text(sign, x, _THUMB_MM - 2.9 - 2.6 * step, colour)
    if "p" in signs:
        yield _text("p", x, _THUMB_MM, colour)


def _path(d: str, colour: str, width: float) -> str:
    return element("path", d=d, fill="none", stroke=colour, stroke_width=width,
                   stroke_linejoin="round")  # fmt: skip


def _text(text: str, x: float, y: float, colour: str, *, size: float = 1.0) -> str:
    return element("text", clean(text), x=x, y=y, font_family=SANS, font_size=TEXT_MM * size,
                   text_anchor="middle", fill=colour)  # fmt: skip


def pattern_in_words(pattern: Pattern, metre: Metre) -> str:
    """Say a pattern stroke by stroke, each at its beat.

    >>> from gripwright.lesson.model import Stroke
    >>> half = Fraction(1, 2)
    >>> strokes = (Stroke(Fraction(0), half, "down", accent=True), Stroke(half, half, "up"))
    >>> pattern_in_words(Pattern("walk", Fraction(1), strokes), Metre(1, 4, (1,)))
    'beat 1: accented down; beat 1 and 1/2: up'
    """
    return "; ".join(f"beat {_beat(s.offset, metre)}: {_stroke(s)}" for s in pattern.strokes)


def _beat(offset: Fraction, metre: Metre) -> str:
    at = metre.beat_at(offset % metre.length)
    whole, part = divmod(at, 1)
    return f"{whole} and {part}" if part else str(whole)


def _stroke(stroke: Stroke) -> str:
    fingers = [_LETTERS.get(letter, letter) for letter in stroke.fingers]
    said = _KINDS.get(stroke.kind) or (" and ".join(fingers) if fingers else "pluck")
    if stroke.strings:
        said += f" on string{'s' if len(stroke.strings) > 1 else ''} " + " ".join(
            map(str, stroke.strings)
        )
    return f"{'accented ' if stroke.accent else ''}{'ghost ' if stroke.ghost else ''}{said}"
