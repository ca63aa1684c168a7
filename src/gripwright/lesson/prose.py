"""Prose: stretches of CommonMark between the music blocks, and the pointers in them.

A pointer is a link to a label of the chart, ``[that chord](#lift)``. Links in code spans and
fenced code, and escaped ones, are text.
"""

from __future__ import annotations

import re

from gripwright.lesson.lexer import Block
from gripwright.lesson.marks import LABEL
from gripwright.lesson.model import Pointer, Prose

_SKIP_OR_LINK = re.compile(
    r"(?m)(?P<fence>^ {0,3}(?P<mark>`{3,}|~{3,})[^\n]*\n(?:.*\n)*? {0,3}(?P=mark)[`~]*[ \t]*$)"
    rf"|\\."
    rf"|(?P<tick>`+)(?!`)(?:[^`]|(?!(?P=tick)(?!`))`)*?(?<!`)(?P=tick)(?!`)"
    rf"|(?P<link>!?\[(?:\\.|[^\[\]\\\n])*\]\(#(?P<label>{LABEL})\))"
)


def pointers_in(markdown: str) -> tuple[Pointer, ...]:
    """Return the pointers of a stretch of prose with their character spans.

    >>> pointers_in("Hear [the lift](#lift), not `[this](#one)`.")
    (Pointer(label='lift', start=5, end=22),)
    """
    return tuple(
        Pointer(match["label"], match.start("link"), match.end("link"))
        for match in _SKIP_OR_LINK.finditer(markdown)
        if match["link"] and not match["link"].startswith("!")
    )


def read_prose(block: Block, text: str, after_part: str | None) -> Prose:
    """Return the prose of a block."""
    markdown = text[block.span.start : block.span.end]
    return Prose(markdown, pointers_in(markdown), after_part)
