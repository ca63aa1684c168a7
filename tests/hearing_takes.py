"""Takes for the hearing tests: lessons played by our own strings, with what is true of them."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np
import soxr

from gripwright.dsp.strings import render
from gripwright.hearing.bands import RATE
from gripwright.hearing.sound import Heard
from gripwright.lesson.model import Lesson
from gripwright.lesson.perform import perform
from gripwright.lesson.sound import Sound
from gripwright.lesson.text import parse
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.timing import TempoMap, steady

LEAD_S = 0.5
FRONT = """---
title: Take
tempo: 100
metre: 4/4
order: verse, bridge, verse
---

"""
SONG = (
    FRONT
    + """```part verse
| x32010 / x02210 / | xx0232 _ 320003 _ |
```

```part bridge
| 133211 / / / | x13331 _ x-0-2-2-2-0 _ |
```
"""
)


@dataclass(frozen=True)
class Made:
    """A take and where its events start."""

    lesson: Lesson
    heard: Heard
    starts_s: tuple[float, ...]


def lesson_of(text: str) -> Lesson:
    """Return the lesson of a text that must be right."""
    parsed = parse(text)
    assert parsed.lesson is not None, parsed.problems
    return parsed.lesson


def mono(x: np.ndarray[Any, Any], rate: int = 44_100) -> np.ndarray[Any, Any]:
    """Return a stereo rendering as hearing takes it."""
    y = np.asarray(soxr.resample(x.mean(axis=1), rate, RATE), np.float32)
    return np.asarray(0.5 * y / np.abs(y).max(), np.float32)


@functools.lru_cache(maxsize=16)
def play(text: str, order: tuple[str, ...] | None = None, speed: float = 1.0) -> Made:
    """Play a lesson by our own strings, in its order or in another, half a second in."""
    lesson = lesson_of(text)
    played = lesson
    if order is not None:
        played = replace(lesson, order=order)
    clock = steady(lesson.tempo_bpm * Fraction(speed), lesson.metre, LEAD_S)
    sounds = perform(played)
    x = mono(render(sounds, lesson.neck, clock))
    noise = np.random.default_rng(3).standard_normal(len(x)).astype(np.float32)
    first: dict[int, float] = {}
    for sound in sounds:
        if sound.event is not None:
            at = clock.seconds(sound.start) + sound.delay_s
            first[sound.event] = min(at, first.get(sound.event, at))
    starts = tuple(first[index] for index in sorted(first))
    return Made(lesson, Heard(x + 0.002 * noise), starts)


def strummed(grip: str, seconds: float = 2.0, neck: Neck = STANDARD_NECK) -> Heard:
    """Return one grip strummed once."""
    clock = TempoMap(((Fraction(0), 0.2), (Fraction(1), 0.2 + seconds)))
    sounds = [
        Sound(Fraction(0), Fraction(1), s.string, s.fret, s.midi, 0.8, "down", 0.012 * order)
        for order, s in enumerate(soundings(parse_grip(grip), neck))
    ]
    return Heard(mono(render(sounds, neck, clock)))
