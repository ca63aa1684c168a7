"""Read a lesson file: the lesson if there is one, where each node stands, and all problems.

The file is CommonMark (UTF-8): front matter, prose, and fenced blocks for music (``grips``,
``right-hand``, ``part NAME``). The grammar is in the docs, lesson-file.md.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from gripwright.errors import LessonError
from gripwright.files import shown, why_unreadable
from gripwright.lesson.bounds import check_length, check_signs
from gripwright.lesson.chart import ChartLane, Labels
from gripwright.lesson.chords import GripBook
from gripwright.lesson.front import Front, read_front
from gripwright.lesson.hands import HandBook
from gripwright.lesson.lexer import Block, split_blocks
from gripwright.lesson.model import Lesson, Part, Prose
from gripwright.lesson.parts import PartReader
from gripwright.lesson.prose import read_prose
from gripwright.lesson.source import Node, Problem, Report, Span, Token, text_sha256

MAX_CHARACTERS = 2_000_000
MAX_BYTES = 4 * MAX_CHARACTERS
MAX_PART_NAME = 60
TOLD = 20  # problems that an error's message lists
__all__ = [
    "Parsed", "Problem", "Span", "lesson_error", "parse", "read_lesson", "read_text",
    "text_sha256",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Parsed:
    """What a lesson file holds.

    ``lesson`` is None when there are problems; ``draft`` is what could be read all the same,
    for a screen that goes on drawing while one types. ``spans`` maps nodes to their places:
    ``("front", field)``, ``("grip", name)``, ``("fingers", name)``, ``("pattern", name)``,
    ``("part", name)`` (all of its block), ``("setting", part, field)``, ``("bar", part, bar)``
    (what stands between its barlines), ``("chord", part, bar, event)`` (missing in a bar
    written as ``same``), ``("lick", part, bar, voice)``, ``("label", name)``,
    ``("prose", index)``. Bars and events count from 0, offsets are characters.
    """

    lesson: Lesson | None
    draft: Lesson
    spans: dict[Node, Span]
    problems: tuple[Problem, ...]
    sha256: str


def parse(text: str) -> Parsed:
    """Read a lesson; never raises.

    >>> parse("---\\ntitle: One\\n---\\n```part A\\n| C / G7 | C |\\n```").problems[0].code
    'bar-short'
    """
    report = Report(text)
    sha256 = text_sha256(text)
    if not text.strip():
        report.add("empty", Token("", 0), "the file is empty", "start with --- and title: ...")
    elif len(text) > MAX_CHARACTERS:
        report.add(
            "too-long", Token(text[:40], 0),
            f"the file has {len(text):,} characters, a lesson has at most {MAX_CHARACTERS:,}",
            "is it the right file?",
        )  # fmt: skip
    elif "\0" in text:
        at = text.index("\0")
        report.add(
            "not-text", Token("\0", at), "this is no text file: it holds a zero byte",
            "is it the right file?",
        )  # fmt: skip
    if report.problems:
        return Parsed(None, Lesson(""), {}, report.problems, sha256)
    check_signs(text, report)
    draft, spans = _Reading(text, report).lesson()
    lesson = None if report.problems else draft
    return Parsed(lesson, draft, spans, report.problems, sha256)


def read_text(path: Path) -> str:
    """Return the text of a lesson file, line ends as they are.

    Raises LessonError when it is no plain file, is too large to be a lesson (before it is
    read), cannot be read, or is not UTF-8, naming the byte.
    """
    name = shown(path)
    try:
        other = why_unreadable(path)
        size = path.stat().st_size
        if other is None and size > MAX_BYTES:
            said = f"has {size:,} bytes, a lesson has at most {MAX_BYTES:,}"
            other = said, "is it the right file?"
        if other is not None:
            raise LessonError(f"{name} {other[0]}", field="lesson", at=name, remedy=other[1])
        with path.open("rb") as handle:
            data = handle.read(MAX_BYTES + 1)
    except OSError as error:
        raise LessonError(
            f"{name}: {error.strerror or error}", field="lesson", at=name,
            remedy="give the path of a lesson file",
        ) from error  # fmt: skip
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise LessonError(
            f"{name}, line {line}: byte {error.start} (0x{data[error.start]:02x}) is not "
            "UTF-8 text", field="lesson", at=f"line {line}",
            remedy="save the file as UTF-8",
        ) from error  # fmt: skip


def read_lesson(path: Path) -> Parsed:
    """Read a lesson file; raises LessonError with all problems when there is no lesson."""
    parsed = parse(read_text(path))
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, shown(path))
    return parsed


def lesson_error(problems: tuple[Problem, ...], name: str) -> LessonError:
    """Return the error that tells all problems of a file."""
    first = problems[0]
    at = f"line {first.line}, column {first.column}"
    if len(problems) == 1:
        told, remedy = f"{name}, {at}: {first.message}", first.suggestion
    else:
        lines = [f"{name}, {problem}" for problem in problems[:TOLD]]
        more = [f"... and {len(problems) - TOLD} more"] if len(problems) > TOLD else []
        told = "\n".join([*lines, *more])
        remedy = f"mend these {len(problems)} problems, the first ones first"
    return LessonError(told, problems=problems, field="lesson", at=at, remedy=remedy)


class _Reading:
    """One pass over the blocks of a file: grips and patterns first, then the parts."""

    def __init__(self, text: str, report: Report) -> None:
        self.text = text
        self.report = report
        self.blocks = split_blocks(text, report)
        front = next((b for b in self.blocks if b.kind == "front"), None)
        self.front: Front = read_front(front, report)
        up = (self.front.neck.capo or 0) if self.front.names == "shape" else 0
        self.book = GripBook(self.front.neck, report, names_up=up)
        self.hands = HandBook(self.front.metre, len(self.front.neck), report)
        self.labels = Labels()
        self.spans: dict[Node, Span] = dict(self.front.spans)

    def lesson(self) -> tuple[Lesson, dict[Node, Span]]:
        """Return the lesson, as far as it could be read, and the spans."""
        for block in self.blocks:
            if block.kind == "grips":
                self.book.read_block(block)
            elif block.kind == "right-hand":
                self.hands.read_block(block)
        parts, prose = self._parts_and_prose()
        self.spans.update(self.book.spans)
        self.spans.update(self.hands.spans)
        self.spans.update((("label", name), at) for name, at in self.labels.places.items())
        self._check_pointers(prose)
        front = self.front
        order = self._order(parts)
        if not self._is_playable(parts, order):
            order = tuple(parts)
        lesson = Lesson(
            front.title, front.tempo_bpm, front.metre, front.swing, front.neck, front.key,
            front.pickup, tuple(self.book.entries.values()), tuple(parts.values()),
            order, tuple(prose), front.facts, tuple(self.hands.entries.values()),
            front.names,
        )  # fmt: skip
        return lesson, self.spans

    def _parts_and_prose(self) -> tuple[dict[str, Part], list[Prose]]:
        parts: dict[str, Part] = {}
        prose: list[Prose] = []
        names = [block.title.text for block in self.blocks if block.kind == "part"]
        first = self.front.order[0].text if self.front.order else (names or [""])[0]
        hand = self.hands.pattern(self.front.hand) if self.front.hand else None
        for block in self.blocks:
            if block.kind == "prose":
                self.spans["prose", len(prose)] = block.span
                prose.append(read_prose(block, self.text, next(reversed(parts), None)))
            elif block.kind == "part" and self._name_is_good(block, parts):
                name = block.title.text
                pickup = self.front.pickup if name == first else Fraction(0)
                reader = PartReader(
                    name, ChartLane(self.book, self.labels, self.report), self.hands,
                    self.report, self.front.metre, hand, pickup,
                )  # fmt: skip
                parts[name] = reader.read(block)
                self.spans["part", name] = block.span
                self.spans.update(reader.spans)
        if not names:
            at = Token(self.text[-1:], max(0, len(self.text) - 1))
            self.report.add(
                "no-part", at, "the lesson has no part",
                "write a block ```part Verse with a line of bars, such as | Am9 / D13 / |",
            )  # fmt: skip
        return parts, prose

    def _name_is_good(self, block: Block, parts: dict[str, Part]) -> bool:
        name = block.title
        if not name.text or "," in name.text:
            self.report.add(
                "part-name", Token(name.text or "part", name.start),
                "a part needs a name without commas", "write ```part Verse",
            )  # fmt: skip
        elif len(name.text) > MAX_PART_NAME:
            self.report.add(
                "part-name", name,
                f"the name of this part has {len(name.text):,} characters, a page has room for "
                f"{MAX_PART_NAME}", "shorten it, and say the rest in the prose",
            )  # fmt: skip
        elif name.text in parts:
            self.report.add(
                "part-twice", name, f"there are two parts called {name.text!r}",
                f"call this one {name.text} 2, or play the first twice by order: in the front "
                "matter",
            )  # fmt: skip
        else:
            return True
        return False

    def _order(self, parts: dict[str, Part]) -> tuple[str, ...]:
        if not self.front.order:
            return tuple(parts)
        for name in self.front.order:
            if name.text not in parts:
                near = difflib.get_close_matches(name.text, parts, 1, 0.5)
                self.report.add(
                    "order", name, f"no part is called {name.text!r}",
                    f"perhaps {near[0]}" if near else f"the parts are {', '.join(parts)}",
                )  # fmt: skip
        return tuple(name.text for name in self.front.order if name.text in parts)

    def _is_playable(self, parts: dict[str, Part], order: tuple[str, ...]) -> bool:
        """Report a song that plays for hours where its order stands, or its tempo."""
        front = self.front
        field = "order" if front.order else "tempo"
        span = front.spans.get(("front", field), Span(0, 0))
        at = Token(self.text[span.start : span.end], span.start)
        return check_length(
            tuple(parts.values()), order, front.tempo_bpm, front.metre, at, self.report
        )

    def _check_pointers(self, prose: list[Prose]) -> None:
        for index, stretch in enumerate(prose):
            start = self.spans["prose", index].start
            for pointer in stretch.pointers:
                if pointer.label not in self.labels.places:
                    text = stretch.markdown[pointer.start : pointer.end]
                    near = difflib.get_close_matches(pointer.label, self.labels.places, 1, 0.5)
                    self.report.add(
                        "pointer", Token(text, start + pointer.start),
                        f"the prose points at {pointer.label!r}, no chord has that label",
                        f"perhaps #{near[0]}" if near
                        else f"put @{pointer.label} after the chord that is meant",
                    )  # fmt: skip
