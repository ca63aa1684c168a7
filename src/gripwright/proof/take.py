"""What a take and a cut say of a lesson, as values for the rules of the proof.

Nothing of the hearing is imported by the rules: most proofs are made without a take, and start
at once. `gripwright.proof.listen` makes these values.
"""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.lesson.source import Node


@dataclass(frozen=True, slots=True)
class HeardEvent:
    """An event as it was played: its written chord, its bar (from 1), its seconds in the take."""

    node: Node
    part: str
    bar: int
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class HeardNote:
    """A note in which playing and chart differ, in words; ``node`` is the written chord."""

    node: Node
    at_s: float
    text: str


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A stretch of the take that the cut holds, in seconds of each."""

    take_start_s: float
    take_end_s: float
    cut_start_s: float


@dataclass(frozen=True, slots=True)
class TakeEvidence:
    """A take that was followed: its name, tempo, events, what departs from the chart.

    ``skipped`` and ``repeated`` name parts; ``pieces`` is None where no cut was given.
    """

    name: str
    tempo_bpm: float
    events: tuple[HeardEvent, ...]
    notes: tuple[HeardNote, ...]
    skipped: tuple[str, ...]
    repeated: tuple[str, ...]
    pieces: tuple[CutPiece, ...] | None


def clock(seconds: float) -> str:
    """Return a time for people, to the second.

    >>> clock(75.4)
    '1:15'
    """
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"
