"""The grips that a lesson uses, and the two names of each under a capo.

A lesson's symbols name what sounds; under a full capo the shape beneath the hand has a name
too. The name that the teacher writes by stands first on the page.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from gripwright.draw.symbols import chord_runs
from gripwright.harmony.tones import Tone, tones_under
from gripwright.lesson.capo import shape_symbol
from gripwright.lesson.model import Bar, Chord, Lesson
from gripwright.neck.grip import Grip
from gripwright.theory.symbol import Run


def grips_used(lesson: Lesson) -> tuple[Chord, ...]:
    """Return the chords with a grip that the chart plays, those set out once first.

    A lesson without a chart uses all that it sets out.
    """
    played = list(_played(lesson))
    if not any(part.bars for part in lesson.parts):
        played = list(lesson.grips)
    names = {(chord.name, chord.grip) for chord in played}
    first = [chord for chord in lesson.grips if (chord.name, chord.grip) in names]
    unique: dict[tuple[str, Grip | None], Chord] = {}
    for chord in (*first, *played):
        unique.setdefault((chord.name, chord.grip), chord)
    return tuple(chord for chord in unique.values() if chord.grip is not None)


def _played(lesson: Lesson) -> Iterator[Chord]:
    for part in lesson.parts:
        for bar in part.bars:
            for event in bar.chords:
                if event.chord is not None:
                    yield event.chord


def tones_of(chord: Chord, lesson: Lesson) -> tuple[Tone, ...]:
    """Return what each note of a chord's grip is under its symbol, none without a symbol."""
    if chord.symbol is None or chord.grip is None:
        return ()
    return tones_under(chord.symbol, chord.grip, lesson.neck)


def names_of(chord: Chord, lesson: Lesson) -> tuple[tuple[Run, ...], tuple[Run, ...]]:
    """Return the name that stands first and, under a capo, the other one."""
    shape = shape_symbol(chord.symbol, lesson.neck) if chord.symbol else None
    if shape is None:
        return chord_runs(chord), ()
    other = replace(chord, symbol=shape)
    if lesson.names == "shape":
        chord, other = other, chord
    return chord_runs(chord), other.symbol.runs if other.symbol else ()


def as_named(lesson: Lesson) -> Lesson:
    """Return the lesson with the symbols of its chart as the teacher names them."""
    if lesson.names != "shape" or not lesson.neck.capo:
        return lesson
    parts = tuple(
        replace(part, bars=tuple(_renamed(bar, lesson) for bar in part.bars))
        for part in lesson.parts
    )
    return replace(lesson, parts=parts)


def _renamed(bar: Bar, lesson: Lesson) -> Bar:
    events = []
    for event in bar.chords:
        if event.chord and event.chord.symbol:
            shape = shape_symbol(event.chord.symbol, lesson.neck)
            event = replace(event, chord=replace(event.chord, symbol=shape))
        events.append(event)
    return replace(bar, chords=tuple(events))
