"""Places in a lesson file: tokens, spans, and the problems found at them.

Offsets count characters of the text from 0; lines and columns, for people, count from 1.
"""

from __future__ import annotations

import hashlib
from bisect import bisect_right
from dataclasses import dataclass
from typing import NamedTuple

from gripwright.errors import GripwrightError, cut, without_long_input

Node = tuple[str | int, ...]


def text_sha256(text: str) -> str:
    """Return the hash of a text, by which an edit knows its base."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


class Span(NamedTuple):
    """A stretch of the text: ``start`` inclusive, ``end`` exclusive."""

    start: int
    end: int


class Token(NamedTuple):
    """A word of a music block and where it starts in the file."""

    text: str
    start: int

    @property
    def span(self) -> Span:
        """Return its stretch of the text."""
        return Span(self.start, self.start + len(self.text))


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: where, the text at fault, the rule, and what would be right."""

    code: str
    line: int
    column: int
    text: str
    message: str
    suggestion: str | None = None

    def __str__(self) -> str:
        hint = f"; {self.suggestion}" if self.suggestion else ""
        return f"line {self.line}, column {self.column}: {self.message}{hint}"


class Report:
    """Collect the problems of one text.

    >>> report = Report("one\\ntwo")
    >>> report.add("word", Token("two", 4), "this is not a number", "write 2")
    >>> print(report.problems[0])
    line 2, column 1: this is not a number; write 2
    """

    def __init__(self, text: str) -> None:
        self.text = text
        self._found: list[tuple[int, Problem]] = []
        self._lines = [0]
        at = text.find("\n")
        while at >= 0:
            self._lines.append(at + 1)
            at = text.find("\n", at + 1)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Return the problems in the order of the text."""
        return tuple(problem for _, problem in sorted(self._found, key=lambda pair: pair[0]))

    def place(self, offset: int) -> tuple[int, int]:
        """Return the line and column of an offset, both from 1."""
        line = bisect_right(self._lines, offset)
        return line, offset - self._lines[line - 1] + 1

    def add(self, code: str, token: Token, message: str, suggestion: str | None = None) -> None:
        """Note a problem at a token; long texts are cut in it."""
        line, column = self.place(token.start)
        hint = suggestion if suggestion is None else without_long_input(suggestion)
        told = without_long_input(message)
        self._found.append((token.start, Problem(code, line, column, cut(token.text), told, hint)))

    def add_error(self, code: str, token: Token, error: GripwrightError) -> None:
        """Note an error of a lower floor at a token."""
        self.add(code, token, error.message, error.remedy)
