"""Right-hand patterns.

A ``right-hand`` block has patterns one after the other: a name and a metre, then a lane or
several, one above the other, each filling the same bars::

    walk: 4/4
    thumb   | p5 _ p4 _ |
    fingers | by 2  . i3+m2 . m2+a1 . i3+m2 . m2+a1 |

``d`` and ``u`` are down and up strokes, ``d!`` an accent, ``(d)`` a ghost, ``d654`` only those
strings; ``p5`` the thumb on string 5, ``p`` alone the lowest string that sounds; ``5+3+2``
plucks with fingers left free; ``roll`` and ``roll-down`` break the chord.
"""

from __future__ import annotations

import difflib
import re
from fractions import Fraction

from gripwright.beats import Metre, parse_metre
from gripwright.errors import InputError
from gripwright.lesson.grid import Laid, Ruler, lay_out
from gripwright.lesson.lexer import Block, cells, tokens
from gripwright.lesson.model import Pattern, Stroke, StrokeKind, stroke_order
from gripwright.lesson.source import Node, Report, Span, Token

KINDS: dict[str, StrokeKind] = {
    "d": "down", "u": "up", "roll": "roll-up", "roll-down": "roll-down",
}  # fmt: skip
LANES = ("thumb", "fingers", "strum")
_HEAD = re.compile(r"\s*([^\s:|]+)\s*:\s*(.*?)\s*")
_SWEEP = re.compile(r"(roll-down|roll|d|u)([1-8]*)")
_PLUCK = re.compile(r"([pima]?)([1-8]?)")
_LANE = re.compile(r"\s*([A-Za-z-]*)\s*\|")


class HandBook:
    """The right-hand patterns of a lesson, by name."""

    def __init__(self, metre: Metre, strings: int, report: Report) -> None:
        self.metre = metre
        self.strings = strings
        self.report = report
        self.entries: dict[str, Pattern] = {}
        self.spans: dict[Node, Span] = {}

    def read_block(self, block: Block) -> None:
        """Read a ``right-hand`` block."""
        head: tuple[Token, Metre] | None = None
        lanes: list[Token] = []
        for line in block.lines:
            if not line.text.strip():
                continue
            match = _HEAD.fullmatch(line.text)
            if match:
                self._close(head, lanes)
                head, lanes = self._head(match, line), []
            elif _LANE.match(line.text):
                lanes.append(line)
            else:
                self.report.add(
                    "right-hand", line, "this is neither a pattern's name nor a lane",
                    "write a name and its metre, such as walk: 4/4, then | d _ u _ |",
                )  # fmt: skip
        self._close(head, lanes)

    def pattern(self, name: Token) -> Pattern | None:
        """Return a pattern by name, None for ``none``; an unknown one is a problem."""
        if name.text != "none" and name.text not in self.entries:
            near = difflib.get_close_matches(name.text, [*self.entries, "none"], 1, 0.5)
            self.report.add(
                "pattern", name, f"no right-hand pattern is called {name.text!r}",
                f"perhaps {near[0]}" if near else "set it out in a right-hand block",
            )  # fmt: skip
        return self.entries.get(name.text)

    def _head(self, match: re.Match[str], line: Token) -> tuple[Token, Metre]:
        name = Token(match[1], line.start + match.start(1))
        if name.text in self.entries or name.text == "none":
            self.report.add(
                "pattern-twice", name, f"the pattern {name.text!r} is set out twice"
                if name.text != "none" else "no pattern may be called none",
                "give it another name",
            )  # fmt: skip
        try:
            return name, parse_metre(match[2]) if match[2] else self.metre
        except InputError as error:
            self.report.add_error("metre", Token(match[2], line.start + match.start(2)), error)
            return name, self.metre

    def _close(self, head: tuple[Token, Metre] | None, lanes: list[Token]) -> None:
        """Make the pattern of a head and its lanes."""
        if head is None:
            for lane in lanes[:1]:
                self.report.add(
                    "right-hand", lane, "this lane has no pattern above it",
                    "write a name and its metre first, such as walk: 4/4",
                )  # fmt: skip
            return
        name, metre = head
        if not lanes:
            self.report.add("right-hand", name, "this pattern has no lane", "write | d / u / |")
            return
        strokes: list[Stroke] = []
        lengths = [self._lane(lane, metre, strokes) for lane in lanes]
        if len(set(lengths)) > 1:
            self.report.add(
                "right-hand", name, f"the lanes of {name.text!r} differ in length",
                "give each lane the same bars",
            )  # fmt: skip
        pattern = Pattern(name.text, lengths[0], tuple(sorted(strokes, key=stroke_order)))
        self.entries.setdefault(name.text, pattern)
        self.spans["pattern", name.text] = Span(name.start, lanes[-1].span.end)

    def _lane(self, line: Token, metre: Metre, strokes: list[Stroke]) -> Fraction:
        """Add the strokes of a lane; return its length."""
        match = _LANE.match(line.text)
        assert match
        if match[1] and match[1] not in LANES:
            self.report.add(
                "right-hand", Token(match[1], line.start + match.start(1)),
                f"{match[1]!r} is no lane of the right hand", f"use {', '.join(LANES)} or nothing",
            )  # fmt: skip
        at = Fraction(0)
        for cell in cells(line, match.end() - 1):
            for laid in lay_out(tokens(cell), Ruler(metre, metre.length), self.report):
                if laid.token.text == "_" and strokes and at:
                    self._go_on(strokes, at + laid.offset, laid.length)
                else:
                    strokes.extend(self._stroke(laid, at))
            at += metre.length
        return at

    def _go_on(self, strokes: list[Stroke], at: Fraction, length: Fraction) -> None:
        last = strokes[-1]
        if last.offset + last.length == at:
            strokes[-1] = Stroke(
                last.offset, last.length + length, last.kind, last.strings, last.fingers,
                last.accent, last.ghost,
            )  # fmt: skip

    def _stroke(self, laid: Laid, at: Fraction) -> list[Stroke]:
        text = laid.token.text
        if text in (".", "rest", "..."):
            return []
        ghost = text.startswith("(") and text.endswith(")")
        body = text[1:-1] if ghost else text
        accent = body.endswith("!")
        parts = _parts(body.removesuffix("!"))
        if parts is None or any(string > self.strings for string in parts[1]):
            self.report.add(
                "stroke", laid.token, f"{text!r} is no stroke of the right hand",
                f"write d, u, roll, p5, i3+m2 or 5+3+2, with strings 1 to {self.strings}",
            )  # fmt: skip
            return []
        kind, strings, fingers = parts
        return [Stroke(at + laid.offset, laid.length, kind, strings, fingers, accent, ghost)]


def _parts(text: str) -> tuple[StrokeKind, tuple[int, ...], tuple[str, ...]] | None:
    """Return kind, strings and fingers of a stroke, None if it is none.

    >>> _parts("p5+i3"), _parts("d654")
    (('pluck', (5, 3), ('p', 'i')), ('down', (6, 5, 4), ()))
    """
    sweep = _SWEEP.fullmatch(text)
    if sweep:
        return KINDS[sweep[1]], tuple(map(int, sweep[2])), ()
    found = [_PLUCK.fullmatch(word) for word in text.split("+")]
    fingers = tuple(match[1] for match in found if match and match[1])
    strings = tuple(int(match[2]) for match in found if match and match[2])
    whole = all(match and match[0] for match in found)
    if not whole or len(fingers) not in (0, len(found)) or len(strings) not in (0, len(found)):
        return None
    return "pluck", strings, fingers
