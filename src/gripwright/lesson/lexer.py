"""Split a lesson file into front matter, prose and music blocks, and blocks into tokens.

A music block is a fenced code block whose info string starts with one of `KINDS`; every
other fence belongs to the prose around it. Source for fences: CommonMark 0.31, section 4.5.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from typing import NamedTuple

from gripwright.lesson.source import Report, Span, Token

KINDS = ("grips", "right-hand", "part")
_FENCE = re.compile(r" {0,3}(`{3,}|~{3,})[ \t]*([^`\n]*?)[ \t]*$")
_TOKEN = re.compile(r"\([^()|\n]*\)|[^\s|()]+(?:\([^()|\n]*\)[^\s|()]*)*|[^\s|]+")


class Block(NamedTuple):
    """A stretch of the file: ``kind`` is ``front``, ``prose`` or one of `KINDS`.

    ``lines`` are its inner lines as tokens, ``title`` what follows the kind in a fence's
    info string, ``span`` all of it, fences included.
    """

    kind: str
    title: Token
    lines: tuple[Token, ...]
    span: Span


def lines_of(text: str) -> list[Token]:
    """Return the lines without their ends."""
    lines = []
    at = 0
    for line in text.split("\n"):
        lines.append(Token(line.rstrip("\r"), at))
        at += len(line) + 1
    return lines


def split_blocks(text: str, report: Report) -> list[Block]:
    """Return the blocks of a file in order; an unclosed one is a problem."""
    lines = lines_of(text)
    blocks: list[Block] = []
    index = 0
    if lines[0].text.strip() == "---":
        index = _front(lines, blocks, report)
    prose: list[Token] = []
    while index < len(lines):
        match = _FENCE.fullmatch(lines[index].text)
        if not match:
            prose.append(lines[index])
            index += 1
            continue
        end = _closing(lines, index, match[1])
        if not _is_music(match[2], lines[index], report):
            prose.extend(lines[index : end + 1])
        else:
            _add_prose(prose, blocks)
            prose = []
            blocks.append(_music(lines, index, end, match, report))
        index = end + 1
    _add_prose(prose, blocks)
    return blocks


def _front(lines: list[Token], blocks: list[Block], report: Report) -> int:
    """Add the front matter; return the index of the first line after it."""
    for index in range(1, len(lines)):
        if lines[index].text.strip() == "---":
            span = Span(0, lines[index].span.end)
            blocks.append(Block("front", Token("", 0), tuple(lines[1:index]), span))
            return index + 1
    report.add(
        "front-open", lines[0], "the front matter is not closed", "end it with a line of ---"
    )
    return len(lines)


def _closing(lines: list[Token], index: int, fence: str) -> int:
    """Return the index of the line that closes a fence, or one past the last line."""
    closing = re.compile(rf" {{0,3}}{re.escape(fence[0])}{{{len(fence)},}}[ \t]*")
    for end in range(index + 1, len(lines)):
        if closing.fullmatch(lines[end].text):
            return end
    return len(lines)


def _is_music(info: str, line: Token, report: Report) -> bool:
    kind = info.split(" ", 1)[0]
    if kind in KINDS:
        return True
    near = difflib.get_close_matches(kind.lower(), KINDS, 1, 0.7) if kind else []
    if near:
        at = line.text.index(info)
        report.add(
            "block", Token(kind, line.start + at),
            f"a block called {kind!r} is no music block", f"perhaps {near[0]}",
        )  # fmt: skip
    return False


def _music(lines: list[Token], index: int, end: int, match: re.Match[str], report: Report) -> Block:
    first = lines[index]
    if end == len(lines):
        report.add(
            "block-open", Token(first.text, first.start), "this block is not closed",
            f"end it with a line of {match[1]}",
        )  # fmt: skip
    kind, _, title = match[2].partition(" ")
    stripped = title.strip()
    at = first.start + (first.text.index(stripped, match.start(2) + len(kind)) if stripped else 0)
    last = lines[min(end, len(lines) - 1)]
    return Block(
        kind, Token(stripped, at), tuple(lines[index + 1 : end]),
        Span(first.start, last.span.end),
    )  # fmt: skip


def _add_prose(prose: list[Token], blocks: list[Block]) -> None:
    while prose and not prose[0].text.strip():
        prose = prose[1:]
    while prose and not prose[-1].text.strip():
        prose = prose[:-1]
    if prose:
        span = Span(prose[0].start, prose[-1].span.end)
        blocks.append(Block("prose", Token("", prose[0].start), tuple(prose), span))


def cells(line: Token, first_bar: int) -> Iterator[Token]:
    """Yield the cells between the ``|`` of a line from its first bar, blanks stripped."""
    at = first_bar + 1
    pieces = line.text[at:].split("|")
    if not pieces[-1].strip():
        pieces.pop()
    for piece in pieces:
        stripped = piece.strip()
        lead = len(piece) - len(piece.lstrip()) if stripped else min(1, len(piece))
        yield Token(stripped, line.start + at + lead)
        at += len(piece) + 1


def tokens(cell: Token) -> list[Token]:
    """Return the words of a cell; parentheses hold what is in them together.

    >>> [token.text for token in tokens(Token("(1st 2nd) Am9 / C7(b9, #11) _", 0))]
    ['(1st 2nd)', 'Am9', '/', 'C7(b9, #11)', '_']
    """
    return [Token(m[0], cell.start + m.start()) for m in _TOKEN.finditer(cell.text)]
