"""Write a lesson as a Standard MIDI File: one track a string, as played.

Repeats are unrolled, swing, pushes and strums are in the times. Track 0 has the title, the
tempo, the metres and keys, a marker for each part and the chord names as text (UTF-8). Strings
keep a channel of their own, so that a bend moves nothing else; channel 10 is left to drums.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

import mido  # type: ignore[import-untyped]

from gripwright.beats import Metre, Quarters
from gripwright.formats.score_keys import part_keys
from gripwright.lesson.model import Lesson
from gripwright.lesson.perform import perform
from gripwright.lesson.sound import CONNECTED, Sound
from gripwright.lesson.swing import groove
from gripwright.lesson.unroll import PlayedBar, played_bars, played_events
from gripwright.neck.grip import Grip
from gripwright.theory.scale import Key

MOST_KEY = 127  # a pitch above it cannot be written, and is left out
TICKS = 960  # a quarter: thirds, fifths and 128ths are whole
PROGRAM = 25  # steel-string guitar, General MIDI level 1, counted from 0
BEND_RANGE = 12
_WHEEL = 8191
_SOFTER = 0.6  # what is not struck by the right hand
_STEPS = 12  # points of a bend's curve
_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
_MINOR = ("Abm", "Ebm", "Bbm", "Fm", "Cm", "Gm", "Dm", "Am", "Em", "Bm", "F#m", "C#m", "G#m",
          "D#m", "A#m")  # fmt: skip

Event = tuple[int, int, mido.Message | mido.MetaMessage]  # tick, order within the tick, message


def write_midi(lesson: Lesson, grips: Mapping[str, Grip] | None = None) -> bytes:
    """Return a lesson as a MIDI file of type 1, as it is played.

    ``grips`` gives a grip to chords that have none, by their name in the chart.
    """
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS, charset="utf-8")
    file.tracks.append(_track(_conductor(lesson)))
    sounds = perform(lesson, grips=grips)
    a_second = float(_quarters_a_minute(lesson)) / 60 * TICKS
    for index, pitch in enumerate(lesson.neck.tuning.strings):
        string = len(lesson.neck) - index
        mine = [s for s in sounds if s.string == string and 0 <= s.midi <= MOST_KEY]
        name = mido.MetaMessage("track_name", name=f"string {string} ({pitch.name})")
        file.tracks.append(_track([(0, 0, name), *_string(mine, string - 1, a_second)]))
    out = io.BytesIO()
    file.save(file=out)
    return out.getvalue()


def _quarters_a_minute(lesson: Lesson) -> Fraction:
    return lesson.tempo_bpm * lesson.metre.beats[0]


def _tick(at: Quarters) -> int:
    return round(at * TICKS)


def _track(events: Iterable[Event]) -> mido.MidiTrack:
    """Return a track of events in order, their times as differences."""
    track = mido.MidiTrack()
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track"))
    return track


def _conductor(lesson: Lesson) -> Iterator[Event]:
    """Yield title, tempo, metres, keys, part markers and chord names."""
    tempo = round(60_000_000 / _quarters_a_minute(lesson))
    yield 0, 0, mido.MetaMessage("track_name", name=lesson.title)
    yield 0, 1, mido.MetaMessage("set_tempo", tempo=min(tempo, 0xFFFFFF))
    metre: tuple[int, int] | None = None
    key: str | None = None
    before: PlayedBar | None = None
    keys = part_keys(lesson)
    for where in played_bars(lesson):
        at = _tick(where.start)
        if (signature := bar_signature(where.bar.length, where.bar.metre)) != metre:
            metre = signature
            beats, unit = signature
            yield at, 2, mido.MetaMessage("time_signature", numerator=beats, denominator=unit)
        name = _key_name(keys[where.part])
        if name is not None and name != key:
            key = name
            yield at, 3, mido.MetaMessage("key_signature", key=name)
        if before is None or (before.part, before.visit) != (where.part, where.visit):
            yield at, 4, mido.MetaMessage("marker", text=where.part)
        before = where
    moved = groove(lesson)
    for event in played_events(lesson):
        if event.event.chord is not None and event.event.struck:
            at = _tick(moved.performed(event.sounds_at))
            yield at, 5, mido.MetaMessage("text", text=event.event.chord.name)


def bar_signature(length: Quarters, metre: Metre) -> tuple[int, int]:
    """Return the metre of a bar as MIDI has it, of a short bar's own length.

    >>> bar_signature(Fraction(3, 2), Metre())
    (3, 8)
    """
    unit = metre.unit
    while (count := length * unit / 4).denominator > 1 and unit < 128:
        unit *= 2
    return max(1, min(255, round(count))), unit


def _key_name(key: Key) -> str | None:
    """Return a signature as MIDI names it, None for one of more than seven signs."""
    if not -7 <= key.fifths <= 7:
        return None
    return (_MINOR if key.mode == "minor" else _MAJOR)[key.fifths + 7]


def _string(sounds: list[Sound], number: int, a_second: float) -> Iterator[Event]:
    """Yield one string: the note before ends at the latest where the next begins."""
    channel = number if number < 9 else number + 1
    yield 0, 1, mido.Message("program_change", channel=channel, program=PROGRAM)
    if any(sound.bend_semitones for sound in sounds):
        for control, value in ((101, 0), (100, 0), (6, BEND_RANGE), (38, 0)):
            yield (
                0,
                2,
                mido.Message("control_change", channel=channel, control=control, value=value),
            )
    starts = [_tick(sound.start) + round(sound.delay_s * a_second) for sound in sounds]
    for index, (sound, start) in enumerate(zip(sounds, starts, strict=True)):
        end = max(start, min([max(start + 1, _tick(sound.end)), *starts[index + 1 : index + 2]]))
        level = sound.velocity * (_SOFTER if sound.attack in CONNECTED else 1.0)
        velocity = max(1, min(127, round(level * 127)))
        yield from _bent(sound, start, end, channel)
        yield start, 9, mido.Message("note_on", channel=channel, note=sound.midi, velocity=velocity)
        yield end, 5, mido.Message("note_off", channel=channel, note=sound.midi, velocity=0)


def _bent(sound: Sound, start: int, end: int, channel: int) -> Iterator[Event]:
    """Yield the wheel of a bend: up in the first half of the note, down for a release."""
    if not sound.bend_semitones:
        return
    way = range(_STEPS + 1)
    down = sound.attack == "release"
    for step in way:
        share = (_STEPS - step if down else step) / _STEPS
        wheel = round(_WHEEL * max(-1.0, min(1.0, sound.bend_semitones / BEND_RANGE)) * share)
        tick = start + (end - start) * step // (2 * _STEPS)
        yield tick, 7, mido.Message("pitchwheel", channel=channel, pitch=wheel)
    yield end, 6, mido.Message("pitchwheel", channel=channel, pitch=0)
