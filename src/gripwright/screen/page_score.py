"""What the practice page knows of the song: bars, events and notes as plain numbers.

Places are performed quarters from the start of the song, repeats unrolled.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from gripwright.draw.words import grip_in_words
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.sound import CONNECTED, Sound
from gripwright.lesson.swing import upbeat
from gripwright.lesson.unroll import Played, PlayedBar, played_bars, played_events
from gripwright.neck.grip import Grip
from gripwright.screen.cues import cues
from gripwright.screen.take import TakeEvent
from gripwright.timing import TempoMap

_AS_QUARTERS = TempoMap(((Fraction(0), 0.0), (Fraction(1), 1.0)))
_SOFT = {"dead", "palm-mute"}


@dataclass(frozen=True, slots=True)
class Song:
    """A lesson unrolled: its bars, its events, and the distinct chords and grips it uses."""

    lesson: Lesson
    bars: tuple[PlayedBar, ...]
    events: tuple[Played, ...]
    chords: tuple[Chord, ...]
    grips: tuple[Grip, ...]


def song_of(lesson: Lesson) -> Song:
    """Return a lesson unrolled."""
    events = played_events(lesson)
    chords = tuple(dict.fromkeys(e.event.chord for e in events if e.event.chord is not None))
    grips = tuple(dict.fromkeys(chord.grip for chord in chords if chord.grip is not None))
    return Song(lesson, tuple(played_bars(lesson)), events, chords, grips)


def page_score(
    song: Song, sounds: Sequence[Sound], places: Mapping[int, tuple[float, float]],
    take: Sequence[TakeEvent] | None = None,
) -> dict[str, Any]:  # fmt: skip
    """Return the score as the page's script reads it (``score.js`` says what each field is).

    ``places`` says where in the bank each MIDI pitch starts and how long it lasts, in seconds.
    """
    lesson = song.lesson
    return {
        "title": lesson.title,
        "bpm": float(lesson.tempo_bpm),
        "quarter": float(60 / (lesson.tempo_bpm * lesson.metre.beats[0])),
        "bars": [_bar(song, where) for where in song.bars],
        "events": _events(song),
        "notes": _notes(song, sounds),
        "chords": [_chord(song, chord) for chord in song.chords],
        "take": None
        if take is None
        else [
            {"event": one.index, "start": round(one.start_s, 4), "end": round(one.end_s, 4)}
            for one in take
        ],
        "bank": {str(midi): place for midi, place in sorted(places.items())},
    }


def _bar(song: Song, where: PlayedBar) -> dict[str, Any]:
    metre, missing = where.bar.metre, upbeat(where)
    starts = [start - missing for start in metre.beat_starts]
    counts = [*metre.beat_starts, *(metre.length + s for s in metre.beat_starts if s < missing)]
    inside = [float(start) for start in starts if 0 <= start < where.bar.length]
    return {
        "start": float(where.start), "length": float(where.bar.length), "part": where.part,
        "visit": where.visit, "number": where.bar_index + 1,
        "bars": len(song.lesson.part(where.part).bars), "beats": inside or [0.0],
        "counts": [float(count) for count in counts], "ahead": float(metre.length + missing),
        "counted": len(metre.beats),
    }  # fmt: skip


def _events(song: Song) -> list[dict[str, Any]]:
    order = {where.start: index for index, where in enumerate(song.bars)}
    return [
        {
            "start": cue.start_s, "end": cue.end_s, "bar": order[event.where.start],
            "chord": None if cue.chord is None else song.chords.index(cue.chord),
        }
        for cue, event in zip(cues(song.lesson, _AS_QUARTERS), song.events, strict=True)
    ]  # fmt: skip


def _notes(song: Song, sounds: Sequence[Sound]) -> list[dict[str, Any]]:
    starts = [where.start for where in song.bars]
    order = {where.start: index for index, where in enumerate(song.bars)}
    before: dict[int, int] = {}
    rows = []
    for sound in sounds:
        bar = bisect_right(starts, sound.start) - 1
        if sound.event is not None:
            bar = max(bar, order[song.events[sound.event].where.start])
        rows.append(
            {
                "start": float(sound.start), "length": float(sound.length),
                "late": sound.delay_s, "bar": bar, "midi": sound.midi,
                "loud": round(sound.velocity * (0.6 if sound.attack in CONNECTED else 0.9), 3),
                "rise": 0 if sound.attack == "release" else sound.bend_semitones,
                "from": _from(sound, before.get(sound.string, sound.midi)),
                "soft": bool(_SOFT & set(sound.techniques)),
            }
        )  # fmt: skip
        before[sound.string] = sound.midi
    return rows


def _from(sound: Sound, before: int) -> int:
    """Return the pitch that a note comes from: its own, a slide's start, a bend's top."""
    if sound.attack == "release":
        return sound.midi + sound.bend_semitones
    return before if sound.attack == "slide" else sound.midi


def _chord(song: Song, chord: Chord) -> dict[str, Any]:
    grip = chord.grip
    words = grip_in_words(grip, song.lesson.neck, chord.fingers) if grip else "no grip given"
    name = chord.symbol.pretty if chord.symbol else chord.name
    return {"name": name, "grip": song.grips.index(grip) if grip else None, "words": words}
