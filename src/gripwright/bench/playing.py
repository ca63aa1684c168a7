"""What the page plays: every string set sounding, in seconds, and the chord of the moment."""

from __future__ import annotations

import os

from gripwright.bench.wire.answers import Played, PlayedEvent
from gripwright.lesson.model import Lesson
from gripwright.lesson.perform import perform
from gripwright.lesson.unroll import played_events, total_quarters
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.resolve import with_grips
from gripwright.timing import steady


def play_answer(lesson: Lesson, sha256: str) -> Played:
    """Return every sound in seconds, each event with its place in the chart, and the length.

    Raises SearchError where a symbol has no grip.
    """
    lesson = with_grips(lesson, Cache(default_folder(os.environ)))
    tempo = steady(lesson.tempo_bpm, lesson.metre)
    parts = [part.name for part in lesson.parts]
    sounds = [
        (
            round(tempo.seconds(sound.start) + sound.delay_s, 4),
            round(tempo.seconds(sound.end), 4),
            sound.midi,
            round(sound.velocity, 3),
        )
        for sound in perform(lesson)
    ]
    events = []
    for played in played_events(lesson):
        bar = lesson.part(played.where.part).bars[played.where.bar_index]
        events.append(
            PlayedEvent(
                start_s=round(tempo.seconds(played.sounds_at), 4),
                part=parts.index(played.where.part),
                bar=played.where.bar_index,
                event=bar.chords.index(played.event),
            )
        )
    seconds = tempo.seconds(total_quarters(lesson))
    return Played(sha256=sha256, sounds=sounds, events=events, seconds=seconds)
