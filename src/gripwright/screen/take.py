"""Cues and beats of a take: what the hand is on, by the seconds of a recording.

A take may leave parts out, repeat them and drift; so everything here hangs on its events, each
with its own seconds, and beats lie inside the events that they fall into.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gripwright.lesson.model import Lesson
from gripwright.lesson.swing import upbeat
from gripwright.lesson.unroll import Played, played_events
from gripwright.screen.clock import Beat, Pulse
from gripwright.screen.cues import Cue, cue_of
from gripwright.screen.shots import Shot, shots


@dataclass(frozen=True, slots=True)
class TakeEvent:
    """An event as it was played: its index among the lesson's played events, its seconds."""

    index: int
    start_s: float
    end_s: float

    def slowed(self, factor: float) -> TakeEvent:
        """Return the event in a take that lasts ``factor`` times as long."""
        return TakeEvent(self.index, self.start_s * factor, self.end_s * factor)


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
        if chord.offset <= offset < chord.offset + chord.length:
            share = float((offset - chord.offset) / chord.length)
            second = event.start_s + share * (event.end_s - event.start_s)
            yield Pulse(second, Beat(where.part, where.bar_index + 1, bars, index + 1, lengths))


def take_shots(lesson: Lesson, events: Sequence[TakeEvent], total: int) -> tuple[Shot, ...]:
    """Return the shots of a video of ``total`` frames that follows a take."""
    end_s = max((event.end_s for event in events), default=0.0)
    return shots(take_cues(lesson, events), take_pulses(lesson, events), end_s, total)
