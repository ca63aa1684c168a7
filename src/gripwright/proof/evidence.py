"""What a proof rule is given, and what it gives back.

Rules fetch nothing: everything they look at is a value here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from gripwright.formats.captions import Caption
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.source import Node, Report
from gripwright.lesson.text import Parsed
from gripwright.proof.take import TakeEvidence

Severity = Literal["wrong", "doubtful", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found: how bad, which rule, where (from 1), what, and what would be right.

    ``times_s`` are the seconds of the take at which it is so, none where no take says it.
    """

    severity: Severity
    rule: str
    line: int
    column: int
    message: str
    suggestion: str | None = None
    times_s: tuple[float, ...] = ()

    def __str__(self) -> str:
        hint = f"\n    {self.suggestion}" if self.suggestion else ""
        return f"{self.line}:{self.column} {self.severity}: {self.message} [{self.rule}]{hint}"


@dataclass(frozen=True)
class Evidence:
    """A parsed lesson with its text, and what else was given.

    ``take`` is what a take says of the lesson, None where none was given; ``captions`` are the
    cues of the published video.
    """

    parsed: Parsed
    text: str
    take: TakeEvidence | None = None
    captions: tuple[Caption, ...] = ()

    @property
    def lesson(self) -> Lesson:
        """Return the lesson as far as it could be read."""
        return self.parsed.draft

    @cached_property
    def _report(self) -> Report:
        return Report(self.text)

    def find(
        self, severity: Severity, rule: str, node: Node, message: str,
        suggestion: str | None = None, *, times_s: tuple[float, ...] = (),
    ) -> Finding:  # fmt: skip
        """Return a finding at a node of the lesson: where it is written, else at what holds it.

        A chord that another bar repeats has no place of its own: its bar has, or its part. What
        has none is found at the top of the file.
        """
        spans = self.parsed.spans
        around = (node, ("bar", *node[1:3]), ("part", *node[1:2]))
        span = next((spans[one] for one in around if one in spans), None)
        start = span.start if span else 0
        return self.find_at(severity, rule, start, message, suggestion, times_s=times_s)

    def find_at(
        self, severity: Severity, rule: str, offset: int, message: str,
        suggestion: str | None = None, *, times_s: tuple[float, ...] = (),
    ) -> Finding:  # fmt: skip
        """Return a finding at a character of the text, counted from 0."""
        line, column = self._report.place(offset)
        return Finding(severity, rule, line, column, message, suggestion, times_s)

    def written_chords(self) -> list[tuple[Node, Chord]]:
        """Return each distinct chord once, where it is set out or first written."""
        found: dict[Chord, Node] = {chord: ("grip", chord.name) for chord in self.lesson.grips}
        for part in self.lesson.parts:
            for index, bar in enumerate(part.bars):
                for place, event in enumerate(bar.chords):
                    if event.chord is not None:
                        found.setdefault(event.chord, ("chord", part.name, index, place))
        return [(node, chord) for chord, node in found.items()]
