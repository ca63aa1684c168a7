"""The grips that a lesson uses, and their names where there is a capo.

With a capo a chord has two names: that of the shape under the hand and that of the sound.
Which of them a lesson's symbols are is told by its notes: whichever the symbols agree with.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gripwright.harmony.tones import Tone, tones_under
from gripwright.lesson.model import Chord, Lesson
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck, make_neck
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.symbol import ChordSymbol

# The usual spelling of a transposed root. Common practice, no source.
_USUAL = tuple(map(parse_note, ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")))


@dataclass(frozen=True, slots=True)
class Names:
    """Both names of a chord; equal without a capo, ``shape`` None where it has no symbol."""

    shape: ChordSymbol | None
    sound: ChordSymbol | None


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


def named_by_shape(lesson: Lesson) -> bool:
    """Return whether the lesson's symbols name the shapes under the hand, not the sound."""
    if not lesson.neck.capo:
        return False
    bare = make_neck(lesson.neck.tuning)
    return _agreement(lesson, bare) > _agreement(lesson, lesson.neck)


def _agreement(lesson: Lesson, neck: Neck) -> int:
    """Return how many notes of the grips their symbols claim on a neck."""
    return sum(
        tone.claimed
        for chord in grips_used(lesson)
        if chord.symbol and chord.grip
        for tone in tones_under(chord.symbol, chord.grip, neck)
    )


def names(symbol: ChordSymbol | None, lesson: Lesson, by_shape: bool) -> Names:
    """Return the shape's and the sound's name of a symbol of the lesson."""
    capo = lesson.neck.capo or 0
    if symbol is None or not capo:
        return Names(symbol, symbol)
    if by_shape:
        return Names(symbol, transposed(symbol, capo))
    return Names(transposed(symbol, -capo), symbol)


def transposed(symbol: ChordSymbol, semitones: int) -> ChordSymbol:
    """Return the symbol moved by semitones, with the usual spelling of root and bass.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> transposed(parse_symbol("G/B"), 3).text
    'Bb/D'
    """

    def move(note: Note) -> Note:
        return _USUAL[(note.pc + semitones) % 12]

    bass = move(symbol.bass) if symbol.bass else None
    return ChordSymbol(move(symbol.root), symbol.quality, bass)


def tones_of(chord: Chord, lesson: Lesson, by_shape: bool) -> tuple[Tone, ...]:
    """Return what each note of a chord's grip is under its symbol, none without a symbol."""
    if chord.symbol is None or chord.grip is None:
        return ()
    neck = make_neck(lesson.neck.tuning) if by_shape else lesson.neck
    return tones_under(chord.symbol, chord.grip, neck)
