"""The one kind of edit: replace a span of a text whose hash is known.

Round trip, undo and two windows on one file all rest on it. Intentions (set a chord, insert a
bar) are functions in `revise`, `revise_bars` and `revise_text` that return an `Edit`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gripwright.errors import InputError
from gripwright.lesson.source import Span, text_sha256


@dataclass(frozen=True, slots=True)
class Edit:
    """Replace characters ``start`` to ``end`` (exclusive) of the text hashed by
    ``base_sha256``."""

    base_sha256: str
    start: int
    end: int
    text: str


def apply_edit(text: str, edit: Edit) -> str:
    """Return the text with the edit applied.

    Raises InputError when the text is not the one that the edit was made on, or the span lies
    outside it.

    >>> apply_edit("C F", Edit(text_sha256("C F"), 2, 3, "G7"))
    'C G7'
    """
    if text_sha256(text) != edit.base_sha256:
        raise InputError(
            "the text has changed since this edit was made", field="base_sha256",
            remedy="read the lesson again and repeat the edit",
        )  # fmt: skip
    if not 0 <= edit.start <= edit.end <= len(text):
        raise InputError(
            f"the edit spans {edit.start} to {edit.end}, the text has {len(text)} characters",
            field="start", remedy="give a span inside the text",
        )  # fmt: skip
    return text[: edit.start] + edit.text + text[edit.end :]


def inverse(text: str, edit: Edit) -> Edit:
    """Return the edit that undoes ``edit``, to be applied to the text after it."""
    after = apply_edit(text, edit)
    end = edit.start + len(edit.text)
    return Edit(text_sha256(after), edit.start, end, text[edit.start : edit.end])


def merged(text: str, changes: Iterable[tuple[Span, str]]) -> Edit:
    """Return one edit for several changes that do not overlap; what lies between stays.

    >>> merged("a b c", [(Span(4, 5), "z"), (Span(0, 1), "x")]).text
    'x b z'
    """
    ordered = sorted(changes)
    start, end = ordered[0][0].start, max(span.end for span, _ in ordered)
    pieces: list[str] = []
    at = start
    for span, new in ordered:
        pieces += [text[at : span.start], new]
        at = span.end
    return Edit(text_sha256(text), start, end, "".join(pieces))
