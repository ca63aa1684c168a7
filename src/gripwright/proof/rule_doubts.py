"""Doubts that the teacher marked and has not settled."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.lesson.marks import doubt_text
from gripwright.lesson.model import Doubt
from gripwright.proof.evidence import Evidence, Finding

RULE = "doubt-open"


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for each doubt: grips set out, chords and notes of licks."""
    for node, chord in evidence.written_chords():
        if chord.doubt is not None:
            yield evidence.find(
                "doubtful", RULE, node, f"{chord.name} is still in doubt{_where(chord.doubt)}",
                "settle it, and take the ? out",
            )  # fmt: skip
    for part in evidence.lesson.parts:
        for index, bar in enumerate(part.bars):
            for note in bar.notes:
                if note.doubt is not None:
                    yield evidence.find(
                        "doubtful", RULE, ("lick", part.name, index, 0),
                        f"{note.fret}on{note.string} is still in doubt{_where(note.doubt)}",
                        "settle it, and take the ? out",
                    )  # fmt: skip


def _where(doubt: Doubt) -> str:
    return f" (record at {doubt_text(doubt)[1:]})" if doubt.record_s is not None else ""
