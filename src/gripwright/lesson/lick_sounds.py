"""Licks as sounds: ties joined, slides and the like connected, harmonics at their pitch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from gripwright.beats import Quarters
from gripwright.lesson.loudness import velocity
from gripwright.lesson.model import LickNote, Technique
from gripwright.lesson.sound import CONNECTED, Attack, Sound
from gripwright.lesson.unroll import PlayedBar
from gripwright.neck.tuning import Neck

# Semitones that a natural harmonic sounds above the open string, by the fret it is touched at:
# partials 2 to 6 of the string lie at its half, third, quarter, fifth and sixth (from memory).
NATURAL = {12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28, 3: 31}
TOUCHED = 12  # touched an octave above the fretted note
LET_RING_BARS = 2
_MANNER: tuple[Technique, ...] = (
    "natural-harmonic", "touch-harmonic", "dead", "vibrato", "palm-mute", "let-ring", "bend",
)  # fmt: skip


def heard_midi(note: LickNote, neck: Neck) -> int:
    """Return what a lick note sounds; a bend gives its fretted note.

    >>> from fractions import Fraction
    >>> from gripwright.neck.tuning import STANDARD_NECK
    >>> step = Fraction(1)
    >>> heard_midi(LickNote(step, step, 1, 7, ("natural-harmonic",)), STANDARD_NECK)
    83
    """
    index = len(neck) - note.string
    if "natural-harmonic" in note.techniques:
        return neck.midi(index, 0) + NATURAL.get(note.fret, note.fret)
    return neck.midi(index, note.fret) + (TOUCHED if "touch-harmonic" in note.techniques else 0)


def lick_sounds(bars: Sequence[PlayedBar], neck: Neck) -> tuple[Sound, ...]:
    """Return the lick lane of a row of bars as sounds, in straight time, in order of start."""
    last: dict[int, Sound] = {}
    done: list[Sound] = []
    for where, note in _notes(bars):
        start = where.start + note.offset
        before = last.get(note.string)
        if note.tied and before is not None:
            last[note.string] = replace(before, length=start + note.length - before.start)
            continue
        sound = _sound(where, note, neck, before)
        if before is not None:
            done.append(_until(before, start, connected=sound.attack in CONNECTED))
        last[note.string] = sound
    done.extend(last.values())
    longest = max((where.bar.length for where in bars), default=Quarters(0)) * LET_RING_BARS
    return tuple(sorted(_let_ring(done, longest), key=lambda s: (s.start, -s.string)))


def _notes(bars: Sequence[PlayedBar]) -> Iterator[tuple[PlayedBar, LickNote]]:
    for where in bars:
        for note in sorted(where.bar.notes, key=lambda n: (n.offset, -n.string)):
            yield where, note


def _sound(where: PlayedBar, note: LickNote, neck: Neck, before: Sound | None) -> Sound:
    attack: Attack = "pluck"
    for connected in CONNECTED:
        if connected in note.techniques and (before is not None or connected == "slide"):
            attack = connected
    bend = 0 if note.bend is None else note.bend - note.fret
    midi = heard_midi(note, neck)
    if attack == "release" and before is not None:
        bend = before.midi + before.bend_semitones - midi
    manner = tuple(t for t in note.techniques if t in _MANNER)
    level = velocity(where, note.offset)
    return Sound(
        where.start + note.offset, note.length, note.string, note.fret, midi, level, attack,
        techniques=manner, bend_semitones=bend,
    )  # fmt: skip


def _until(sound: Sound, start: Quarters, *, connected: bool) -> Sound:
    """End a sound where the next one on its string starts; a connected one leaves no gap."""
    if connected or sound.end > start:
        return replace(sound, length=start - sound.start)
    return sound


def _let_ring(sounds: Sequence[Sound], longest: Quarters) -> Iterator[Sound]:
    """Let marked sounds ring until their string is used again, two bars at most."""
    for sound in sounds:
        if "let-ring" not in sound.techniques:
            yield sound
            continue
        later = [s.start for s in sounds if s.string == sound.string and s.start > sound.start]
        end = min([*later, sound.start + max(longest, sound.length)])
        yield replace(sound, length=end - sound.start)
