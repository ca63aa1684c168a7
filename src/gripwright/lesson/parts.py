"""A ``part`` block: chart lines, lick lines beneath them, and settings from there on.

::

    key: Ab major
    hand: walk
    | (repeat) Am9 / D13 / | Gmaj7 (x2) |
    lick | . . by 2 13on2 12on2 10on2 _ | |

A line that starts with ``|`` is a line of bars. A ``lick`` line belongs to the line of bars
above it, cell under cell; an empty cell is silent; two lick lines are two voices. ``key:``
is for the whole part, ``metre:`` and ``hand:`` hold for the lines beneath them.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from gripwright.beats import Metre, parse_metre
from gripwright.errors import InputError
from gripwright.lesson.chart import ChartLane
from gripwright.lesson.grid import Ruler
from gripwright.lesson.hands import HandBook
from gripwright.lesson.lexer import Block, cells, tokens
from gripwright.lesson.licks import LickLane
from gripwright.lesson.marks import parse_length, parse_passes
from gripwright.lesson.model import Bar, LickNote, Part, Pattern, note_order
from gripwright.lesson.source import Node, Report, Span, Token
from gripwright.neck.tuning import Neck
from gripwright.theory.scale import Key, parse_key

MAX_VOICES = 4
_SETTING = re.compile(r"\s*([A-Za-z-]+)\s*:\s*(.*?)\s*")
_LINE = re.compile(r"\s*(lick)?\s*\|")
_SAME = re.compile(r"same(?: ([1-9][0-9]?))?")
_ATTRIBUTES = "(repeat), (x2), (1st), (3/4), (only 3/8) or (hand NAME)"


@dataclass(slots=True)
class _Attributes:
    """What a bar says of itself in parentheses."""

    metre: Metre
    length: Fraction
    pattern: Pattern | None
    repeat_start: bool = False
    repeat_times: int = 1
    endings: tuple[int, ...] = ()


@dataclass(slots=True)
class PartReader:
    """Read one part block; lanes and settings run on from line to line."""

    name: str
    chart: ChartLane
    hands: HandBook
    report: Report
    metre: Metre
    pattern: Pattern | None
    pickup: Fraction = Fraction(0)
    key: Key | None = None
    bars: list[Bar] = field(default_factory=list)
    spans: dict[Node, Span] = field(default_factory=dict)
    _row: tuple[int, int] = (0, 0)
    _voice: int = 0
    _licks: list[LickLane] = field(default_factory=list)

    def read(self, block: Block) -> Part:
        """Return the part of a block."""
        for line in block.lines:
            if not line.text.strip():
                continue
            lane = _LINE.match(line.text)
            setting = None if lane else _SETTING.fullmatch(line.text)
            if lane and lane[1]:
                self._lick_line(line, lane.end() - 1)
            elif lane:
                self._chart_line(line, lane.end() - 1)
            elif setting:
                at = line.start + setting.start(2)
                name = Token(setting[1], line.start + setting.start(1))
                self._setting(name, Token(setting[2], at))
            else:
                self.report.add(
                    "part-line", Token(line.text.strip(), line.start),
                    "this is neither a line of bars, a lick nor a setting",
                    "write | Am9 / D13 / |, lick | 13on2 ... |, or key: Ab major",
                )  # fmt: skip
        for lick in self._licks:
            lick.finish()
        if not self.bars:
            self.report.add(
                "part-empty", block.title, f"the part {self.name!r} has no bars",
                "write a line of bars, such as | Am9 / D13 / |",
            )  # fmt: skip
        return Part(self.name, tuple(self.bars), self.key)

    def _setting(self, name: Token, value: Token) -> None:
        self.spans["setting", self.name, name.text] = value.span
        try:
            if name.text == "key":
                self.key = parse_key(value.text)
            elif name.text == "metre":
                self.metre = parse_metre(value.text)
            elif name.text == "hand":
                self.pattern = self.hands.pattern(value)
            else:
                near = difflib.get_close_matches(name.text, ("key", "metre", "hand"), 1, 0.5)
                self.report.add(
                    "setting", name, f"a part has no setting {name.text!r}",
                    f"perhaps {near[0]}" if near else "use key, metre or hand",
                )  # fmt: skip
        except InputError as error:
            self.report.add_error(name.text, value, error)

    def _chart_line(self, line: Token, first: int) -> None:
        start = len(self.bars)
        for cell in cells(line, first):
            self._bar(cell)
        self._row = (start, len(self.bars))
        self._voice = 0

    def _bar(self, cell: Token) -> None:
        index = len(self.bars)
        self.spans["bar", self.name, index] = cell.span
        words = tokens(cell)
        about = self._attributes([w for w in words if w.text.startswith("(")], index)
        items = [word for word in words if not word.text.startswith("(")]
        ruler = Ruler(about.metre, about.length)
        bar = Bar(
            about.metre, about.length, (), (), about.pattern, about.repeat_start,
            about.repeat_times, about.endings,
        )  # fmt: skip
        if not items:
            self.report.add(
                "bar-empty", Token(cell.text or "|", cell.start), "this bar is empty",
                "write rest for silence, same for the bar before",
            )  # fmt: skip
        elif items[0].text == "same":
            bar = self._same(bar, items)
        else:
            events, spans = self.chart.read(items, ruler)
            bar = replace(bar, chords=events)
            for place, span in enumerate(spans):
                self.spans["chord", self.name, index, place] = span
        self.bars.append(bar)

    def _same(self, bar: Bar, items: Sequence[Token]) -> Bar:
        """Return the bar with the chords of an earlier one, labels left out."""
        model = self._earlier(items, len(self.bars))
        if model is None:
            return bar
        if model.length != bar.length:
            line_says = bar.metre == self.metre and bar.length == self.metre.length
            if not line_says:
                self.report.add(
                    "same", items[0], "the bar before has another length", "write the chords out"
                )
                return bar
            bar = replace(bar, metre=model.metre, length=model.length)
        chords = tuple(replace(event, label=None) for event in model.chords)
        if chords and chords[-1].chord:
            self.chart.last = chords[-1].chord
        return replace(bar, chords=chords)

    def _earlier(self, items: Sequence[Token], index: int) -> Bar | None:
        """Return the bar that ``same`` or ``same 2`` means."""
        match = _SAME.fullmatch(" ".join(item.text for item in items))
        back = int(match[1] or 1) if match else 0
        if 1 <= back <= index:
            return self.bars[index - back]
        self.report.add(
            "same", items[0],
            "'same' has no such bar before it in this part" if match
            else "'same' stands alone in its bar",
            "write same for the bar before, same 2 for the one before that",
        )  # fmt: skip
        return None

    def _attributes(self, words: Sequence[Token], index: int) -> _Attributes:
        about = _Attributes(self.metre, Fraction(0), self.pattern)
        length = self.pickup if index == 0 and self.pickup else None
        for word in words:
            inner = word.text[1:-1].strip()
            passes = parse_passes(inner)
            times = re.fullmatch(r"x([2-9]|[1-9][0-9])", inner)
            if inner == "repeat":
                about.repeat_start = True
            elif times:
                about.repeat_times = int(times[1])
            elif passes:
                about.endings = passes
            elif inner.startswith("hand "):
                about.pattern = self.hands.pattern(Token(inner[5:].strip(), word.start + 6))
            elif inner.startswith("only ") and parse_length(inner[5:]):
                length = parse_length(inner[5:])
            elif inner[:1].isdigit():
                try:
                    about.metre = parse_metre(inner)
                except InputError as error:
                    self.report.add_error("metre", word, error)
            else:
                self.report.add(
                    "bar-mark", word, f"{word.text!r} says nothing about a bar",
                    f"use {_ATTRIBUTES}",
                )  # fmt: skip
        about.length = length or about.metre.length
        return about

    def _lick_line(self, line: Token, first: int) -> None:
        start, end = self._row
        if start == end:
            self.report.add(
                "lick", Token("lick", line.start), "this lick has no line of bars above it",
                "write the bars first, such as | Am9 / D13 / |",
            )  # fmt: skip
            return
        if self._voice == MAX_VOICES:
            self.report.add(
                "lick", Token("lick", line.start), f"a line of bars has at most {MAX_VOICES} licks",
                "join notes that sound together with +",
            )  # fmt: skip
            return
        if self._voice == len(self._licks):
            self._licks.append(LickLane(self.neck, self.report))
        lane = self._licks[self._voice]
        self._voice += 1
        for place, cell in enumerate(cells(line, first)):
            index = start + place
            if index >= end:
                self.report.add(
                    "lick", cell, f"the lick has more bars than the {end - start} above it",
                    "take the last | out, or add a bar to the chart",
                )  # fmt: skip
                return
            self.spans["lick", self.name, index, self._voice - 1] = cell.span
            notes = self._lick_cell(cell, lane, index)
            merged = sorted((*self.bars[index].notes, *notes), key=note_order)
            self.bars[index] = replace(self.bars[index], notes=tuple(merged))

    @property
    def neck(self) -> Neck:
        """Return the neck that the licks are played on."""
        return self.chart.book.neck

    def _lick_cell(self, cell: Token, lane: LickLane, index: int) -> tuple[LickNote, ...]:
        items = tokens(cell)
        bar = self.bars[index]
        if not items:
            lane.sounding = ()
            return ()
        return lane.read(items, Ruler(bar.metre, bar.length))
