"""Cues and beats of a take: what the hand is on, by the seconds of a recording.

A take may leave parts out, repeat them and drift; so everything here hangs on its events, each
with its own seconds, and beats lie inside the events that they fall into.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from gripwright.lesson.model import Lesson
from gripwright.lesson.swing import upbeat
from gripwright.lesson.unroll import Played, played_events
from gripwright.screen.chapters import Chapter
from gripwright.screen.clock import Beat, Pulse
from gripwright.screen.cues import Cue, cue_of
from gripwright.screen.shots import FPS, Shot, shots


@dataclass(frozen=True, slots=True)
class TakeEvent:
    """An event as it was played: its index among the lesson's played events, its seconds.

    ``first`` and ``last`` say which share of the event is there, where a cut has not all of it.
    """

    index: int
    start_s: float
    end_s: float
    first: float = 0.0
    last: float = 1.0

    def slowed(self, factor: float) -> TakeEvent:
        """Return the event in a take that lasts ``factor`` times as long."""
        return replace(self, start_s=self.start_s * factor, end_s=self.end_s * factor)


class PieceLike(Protocol):
    """A stretch of a cut that holds a stretch of a take, in seconds of each."""

    @property
    def cut_start_s(self) -> float:
        """Return where it starts in the cut."""

    @property
    def cut_end_s(self) -> float:
        """Return where it ends in the cut."""

    @property
    def take_start_s(self) -> float:
        """Return where it starts in the take."""


def events_in_cut(
    events: Sequence[TakeEvent], pieces: Sequence[PieceLike]
) -> tuple[TakeEvent, ...]:
    """Return the events of a take where they fall in a cut, in the order of the cut.

    An event that a cut splits is there as often as it is seen; less than a frame of one is not.
    """
    found = []
    for piece in pieces:
        shift = piece.cut_start_s - piece.take_start_s
        for event in events:
            start = max(event.start_s + shift, piece.cut_start_s)
            end = min(event.end_s + shift, piece.cut_end_s)
            if end - start < 1 / FPS:
                continue
            whole = event.end_s - event.start_s
            shares = [(at - shift - event.start_s) / whole for at in (start, end)]
            found.append(TakeEvent(event.index, start, end, max(0.0, shares[0]), shares[1]))
    return tuple(found)


def take_cues(lesson: Lesson, events: Sequence[TakeEvent]) -> tuple[Cue, ...]:
    """Return the events of a take as cues, none overlapping."""
    played = played_events(lesson)
    starts = [event.start_s for event in events]
    ends = [
        min(e.end_s, later) for e, later in zip(events, [*starts[1:], float("inf")], strict=True)
    ]
    return tuple(
        cue_of(played[event.index], event.start_s, end)
        for event, end in zip(events, ends, strict=True)
    )


def take_pulses(lesson: Lesson, events: Sequence[TakeEvent]) -> tuple[Pulse, ...]:
    """Return the beats of a take in order of time."""
    played = played_events(lesson)
    return tuple(pulse for event in events for pulse in _pulses(lesson, played[event.index], event))


def _pulses(lesson: Lesson, played: Played, event: TakeEvent) -> Iterator[Pulse]:
    """Yield the beats that fall into an event, at their share of its time."""
    where, chord = played.where, played.event
    bars = len(lesson.part(where.part).bars)
    lengths = where.bar.metre.beats
    missing = upbeat(where)
    for index, start in enumerate(where.bar.metre.beat_starts):
        offset = start - missing
        share = float((offset - chord.offset) / chord.length)
        if event.first <= share < event.last:
            along = (share - event.first) / (event.last - event.first)
            second = event.start_s + along * (event.end_s - event.start_s)
            yield Pulse(second, Beat(where.part, where.bar_index + 1, bars, index + 1, lengths))


def take_shots(lesson: Lesson, events: Sequence[TakeEvent], total: int) -> tuple[Shot, ...]:
    """Return the shots of a video of ``total`` frames that follows a take."""
    end_s = max((event.end_s for event in events), default=0.0)
    return shots(take_cues(lesson, events), take_pulses(lesson, events), end_s, total)


def take_chapters(
    lesson: Lesson, events: Sequence[TakeEvent], seconds: float
) -> tuple[Chapter, ...]:
    """Return a chapter for each time a part comes by in a take; the first starts at 0.

    A part that comes by more than once is numbered in the order of the take.
    """
    played = played_events(lesson)
    runs: list[tuple[str, int, float]] = []
    for event in events:
        where = played[event.index].where
        if not runs or runs[-1][:2] != (where.part, where.visit):
            runs.append((where.part, where.visit, event.start_s))
    names = [part for part, _, _ in runs]
    titles = [
        f"{name} {names[: place + 1].count(name)}" if names.count(name) > 1 else name
        for place, name in enumerate(names)
    ]
    starts = [0.0, *(start for _, _, start in runs[1:])]
    ends = [*starts[1:], seconds]
    return tuple(
        Chapter(title, start, end)
        for title, start, end in zip(titles, starts[: len(titles)], ends, strict=False)
    )
