"""What the hand is on, and when: the events of a lesson in the seconds of a rendering.

A cue starts where its chord sounds, swing and push included, so that what is shown changes
with what is heard.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.swing import groove
from gripwright.lesson.unroll import Played, played_events
from gripwright.timing import TempoMap


@dataclass(frozen=True, slots=True)
class Cue:
    """One chord event as it is heard; ``chord`` None is a rest. ``bar`` counts from 1."""

    index: int
    part: str
    visit: int
    pass_: int
    bar: int
    beat: Fraction
    chord: Chord | None
    start_s: float
    end_s: float

    @property
    def grip(self) -> str | None:
        """Return the grip as it is written, None where there is none."""
        return self.chord.grip.text if self.chord and self.chord.grip else None


def cues(lesson: Lesson, tempo_map: TempoMap) -> tuple[Cue, ...]:
    """Return the events of a lesson in the order of playing, none overlapping.

    A cue lasts to the next one, or to its own written end where the chart then is empty.
    """
    heard = groove(lesson)
    events = played_events(lesson)
    begins = [tempo_map.seconds(heard.performed(event.sounds_at)) for event in events]
    ends = [
        begins[place + 1]
        if place + 1 < len(events) and events[place + 1].start <= event.end
        else tempo_map.seconds(heard.performed(event.end))
        for place, event in enumerate(events)
    ]
    return tuple(
        cue_of(event, start_s, end_s)
        for event, start_s, end_s in zip(events, begins, ends, strict=True)
    )


def cue_of(event: Played, start_s: float, end_s: float) -> Cue:
    """Return an event as a cue at its seconds."""
    where = event.where
    return Cue(
        event.index, where.part, where.visit, where.pass_, where.bar_index + 1, event.beat,
        event.event.chord, start_s, end_s,
    )  # fmt: skip
