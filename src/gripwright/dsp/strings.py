"""Plucked strings: what is performed, as stereo sound.

Each string is a row of tones; a string that is struck again cuts its old note. Slides, bends,
releases and vibrato read on in the same tone at a changing speed, so the string goes on
ringing; hammer-ons and pull-offs strike it anew, softer. Loudness and brightness follow the
velocity. Strings stand slightly apart, the low ones to the left. All of it is the same bytes
for the same input.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Protocol

import numpy as np

from gripwright.dsp.pluck import WOUND_BELOW, Manner, Tone, tone
from gripwright.neck.tuning import Neck

Stereo = np.ndarray[Any, np.dtype[np.float32]]
Signal = np.ndarray[Any, np.dtype[np.float64]]

TAIL_S = 2.0
_CUT_S, _LIFT_S = 0.004, 0.060  # a string struck again; one that the hand leaves
_SPREAD = 0.35  # of the way to the side, for the outer strings
_GLIDE_S, _BEND_S = 0.10, 0.25
_VIBRATO_HZ, _VIBRATO_SEMITONES, _VIBRATO_AFTER_S = 5.5, 0.25, 0.15
_SLIDE_FROM = -2.0  # semitones, for a slide that comes from nowhere
_SOFTER = {"hammer": 0.75, "pull": 0.65}
_READ_ON = ("slide", "release")


class Struck(Protocol):
    """What is needed of a sound; `gripwright.lesson.sound.Sound` is one."""

    @property
    def start(self) -> Fraction: ...
    @property
    def end(self) -> Fraction: ...
    @property
    def string(self) -> int: ...
    @property
    def midi(self) -> int: ...
    @property
    def velocity(self) -> float: ...
    @property
    def attack(self) -> str: ...
    @property
    def delay_s(self) -> float: ...
    @property
    def techniques(self) -> tuple[str, ...]: ...
    @property
    def bend_semitones(self) -> int: ...


class Clock(Protocol):
    """From performed quarters to seconds; `gripwright.timing.TempoMap` is one."""

    def seconds(self, at: Fraction) -> float:
        """Return the second of a place."""


@dataclass(frozen=True, slots=True)
class _Note:
    """A sound in seconds, on its string."""

    start_s: float
    end_s: float
    cut: bool
    sound: Struck


def render(
    sounds: Iterable[Struck],
    neck: Neck,
    tempo_map: Clock,
    *,
    rate: int = 44_100,
    tail_s: float = TAIL_S,
    seed: int = 0,
) -> Stereo:
    """Return the sounds as float32, shape (samples, 2), from second 0 of the map on.

    The end of the last note is followed by ``tail_s``. Full scale is not respected: set the
    loudness afterwards. Sounds must not start before second 0.
    """
    strings = [_notes(s, tempo_map) for s in _by_string(sounds, len(neck))]
    end_s = max((note.end_s for notes in strings for note in notes), default=0.0)
    out = np.zeros((math.ceil((end_s + tail_s) * rate), 2), np.float32)
    for index, notes in enumerate(strings):
        if notes:
            line = np.zeros(len(out), np.float32)
            wound = neck.tuning.midi[index] < WOUND_BELOW
            for chain in _chains(notes):
                _play(line, chain, wound, rate, seed)
            left, right = _pan(index, len(neck))
            out[:, 0] += left * line
            out[:, 1] += right * line
    return out


def _by_string(sounds: Iterable[Struck], count: int) -> list[list[Struck]]:
    """Return the sounds of each string, bass side first, in order of start."""
    strings: list[list[Struck]] = [[] for _ in range(count)]
    for sound in sounds:
        strings[count - sound.string].append(sound)
    for row in strings:
        row.sort(key=lambda sound: (sound.start, sound.delay_s))
    return strings


def _notes(sounds: Sequence[Struck], clock: Clock) -> list[_Note]:
    """Return the notes of a string, each ending where the next one cuts it at the latest."""
    starts = [clock.seconds(sound.start) + sound.delay_s for sound in sounds]
    notes: list[_Note] = []
    for index, (sound, start_s) in enumerate(zip(sounds, starts, strict=True)):
        end_s = max(clock.seconds(sound.end), start_s)
        cut = False
        if index + 1 < len(sounds):
            touches = sounds[index + 1].start <= sound.end
            cut = touches or starts[index + 1] < end_s
            end_s = starts[index + 1] if cut else end_s
        notes.append(_Note(start_s, end_s, cut, sound))
    return notes


def _pan(index: int, count: int) -> tuple[float, float]:
    """Return the gains of left and right, of equal power, for a string from the bass side."""
    place = _SPREAD * (2 * index / max(1, count - 1) - 1)
    angle = (place + 1) * math.pi / 4
    return math.cos(angle), math.sin(angle)


def _chains(notes: Sequence[_Note]) -> Iterable[list[_Note]]:
    """Yield runs of notes that one stroke of the string makes sound."""
    chain: list[_Note] = []
    for note in notes:
        if chain and not (note.sound.attack in _READ_ON and chain[-1].cut):
            yield chain
            chain = []
        chain.append(note)
    if chain:
        yield chain


def _play(line: Stereo, chain: Sequence[_Note], wound: bool, rate: int, seed: int) -> None:
    """Add a chain of notes to its string's line."""
    first, last = chain[0], chain[-1]
    struck = tone(first.sound.midi, wound, _manner(first.sound), rate, seed)
    begin = round(first.start_s * rate)
    count = max(1, round(last.end_s * rate) - begin)
    fade = round((_CUT_S if last.cut else _LIFT_S) * rate)
    curve = _curve(chain, count + fade, rate)
    heard = _mixed(struck, first.sound, count + fade, curve)
    heard = heard[: len(line) - begin]
    tail = min(fade, max(0, len(heard) - count))
    if tail:
        heard[count : count + tail] *= np.linspace(1.0, 0.0, fade)[:tail] ** 2
    line[begin : begin + len(heard)] += heard.astype(np.float32)


def _manner(sound: Struck) -> Manner:
    if "dead" in sound.techniques:
        return "dead"
    if "palm-mute" in sound.techniques:
        return "muted"
    if {"natural-harmonic", "touch-harmonic"} & set(sound.techniques):
        return "harmonic"
    return "open"


def _mixed(struck: Tone, sound: Struck, count: int, curve: Signal | None) -> Signal:
    """Return so many samples of a tone as loud and bright as the stroke, bent by a curve."""
    level = sound.velocity**1.5 * _SOFTER.get(sound.attack, 1.0)
    bright = level * min(1.0, 0.25 + 0.75 * sound.velocity**2)
    dull = level - bright
    if curve is None:
        end = min(count, len(struck.bright))
        plain: Signal = bright * struck.bright[:end] + dull * struck.dull[:end]
        return plain
    place = np.concatenate([[0.0], np.cumsum(2.0 ** (curve / 12))[:-1]])
    place = place[place < len(struck.bright) - 2]
    bent: Signal = bright * _between(struck.bright, place) + dull * _between(struck.dull, place)
    return bent


def _between(x: Signal, place: Signal) -> Signal:
    """Return a signal at fractional places, by cubic interpolation (Catmull-Rom)."""
    at = place.astype(np.int64)
    share = place - at
    a, b, c, d = (x[np.maximum(at + k, 0)] for k in (-1, 0, 1, 2))
    inner = 2 * a - 5 * b + 4 * c - d + share * (3 * (b - c) + d - a)
    value: Signal = b + 0.5 * share * (c - a + share * inner)
    return value


def _curve(chain: Sequence[_Note], count: int, rate: int) -> Signal | None:
    """Return the semitones above the first note's pitch, sample by sample; None for a flat one."""
    first = chain[0]
    base = first.sound.midi
    points: list[tuple[float, float]] = []
    if first.sound.attack == "slide":
        points += [(first.start_s, _SLIDE_FROM), (first.start_s + _glide(first), 0.0)]
    for index, note in enumerate(chain):
        sound = note.sound
        pitch = float(sound.midi - base)
        length = note.end_s - note.start_s
        if index and sound.attack == "slide":
            points += _step(points, note.start_s - _glide(chain[index - 1]), note.start_s, pitch)
        if sound.attack == "release" and index:
            points += _step(points, note.start_s, note.start_s + min(_BEND_S, length / 2), pitch)
        elif sound.bend_semitones:
            top = pitch + sound.bend_semitones
            points += _step(points, note.start_s, note.start_s + min(_BEND_S, length / 2), top)
    shaken = [note for note in chain if "vibrato" in note.sound.techniques]
    if not points and not shaken:
        return None
    time_s = first.start_s + np.arange(count) / rate
    curve: Signal = np.zeros(count)
    if points:
        curve = np.interp(time_s, [at for at, _ in points], [value for _, value in points])
    for note in shaken:
        begin = note.start_s + _VIBRATO_AFTER_S
        inside = (time_s >= begin) & (time_s < note.end_s)
        wave = np.sin(2 * np.pi * _VIBRATO_HZ * (time_s[inside] - begin))
        curve[inside] += _VIBRATO_SEMITONES * wave
    return curve


def _glide(note: _Note) -> float:
    return min(_GLIDE_S, (note.end_s - note.start_s) / 2)


def _step(
    points: Sequence[tuple[float, float]], start_s: float, end_s: float, pitch: float
) -> list[tuple[float, float]]:
    """Return the points of a glide from where the curve is to a pitch."""
    before = points[-1][1] if points else 0.0
    return [(start_s, before), (end_s, pitch)]
