"""Listen to a take and a cut for the proof: from files to the values that the rules are given."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from gripwright.hearing.follow import Followed, follow
from gripwright.hearing.report import note_text
from gripwright.lesson.source import Node
from gripwright.lesson.unroll import Played
from gripwright.proof.take import CutPiece, HeardEvent, HeardNote, TakeEvidence


def listen(
    lesson: Path, take: Path, cut: Path | None = None,
    told: Callable[[float], None] = lambda share: None,
) -> TakeEvidence:  # fmt: skip
    """Return what a take, and the cut that holds it, say of a lesson.

    ``told`` hears which share is done, 0 to 1. Raises LessonError, MediaError, or
    InputError where lesson and take do not match.
    """
    return evidence_of(follow(lesson, take, cut=cut, told=told), with_cut=cut is not None)


def evidence_of(followed: Followed, *, with_cut: bool = False) -> TakeEvidence:
    """Return a followed lesson as values for the proof."""
    played = followed.chart.events
    events = followed.timing.events
    return TakeEvidence(
        followed.timing.take,
        followed.synced.tempo_bpm,
        tuple(
            HeardEvent(_node(played[e.index]), e.part, e.bar, e.start_s, e.end_s) for e in events
        ),
        tuple(
            HeardNote(_node(played[events[doubt.place].index]), events[doubt.place].start_s,
                      note_text(doubt))
            for doubt in followed.doubts
        ),
        followed.synced.skipped,
        followed.synced.repeated,
        tuple(
            CutPiece(p.take_start_s, p.take_start_s + p.cut_end_s - p.cut_start_s, p.cut_start_s)
            for p in followed.pieces
        ) if with_cut else None,
    )  # fmt: skip


def _node(played: Played) -> Node:
    place = next(i for i, event in enumerate(played.where.bar.chords) if event is played.event)
    return ("chord", played.where.part, played.where.bar_index, place)
