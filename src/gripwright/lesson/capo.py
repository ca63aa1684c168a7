"""Shape and sound: the two names of a chord under a capo.

A lesson's symbols name what sounds. With a full capo at fret n the same hand shape without it
would be called n semitones lower: that is the shape's name. ``names: shape`` in the front matter
lets a teacher type those instead.
"""

from __future__ import annotations

from dataclasses import replace

from gripwright.lesson.model import Lesson
from gripwright.neck.tuning import Neck
from gripwright.theory.interval import degree_between, degrees, note_at
from gripwright.theory.pitch import STEP_SEMITONES, Note, simple_note
from gripwright.theory.symbol import ChordSymbol

# The degree by which a root moves up, by semitones: a shape in G under a capo at 2 is an A.
_UP = degrees("1 b2 2 b3 3 4 #4 5 b6 6 b7 7")


def shape_symbol(symbol: ChordSymbol, neck: Neck) -> ChordSymbol | None:
    """Return the name of a sounding chord's shape; None without a full capo.

    >>> from gripwright.neck.tuning import make_neck
    >>> from gripwright.theory.symbol import parse_symbol
    >>> shape_symbol(parse_symbol("Bm7/A"), make_neck(capo=2)).text
    'Am7/G'
    """
    return moved(symbol, -neck.capo) if neck.capo else None


def names_up(lesson: Lesson) -> int:
    """Return how many semitones a lesson's symbols sound above their writing."""
    return (lesson.neck.capo or 0) if lesson.names == "shape" else 0


def moved(symbol: ChordSymbol, semitones: int) -> ChordSymbol:
    """Return a symbol moved up, or down where negative, its spelling kept simple.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> moved(parse_symbol("D7/F#"), 2).text
    'E7/G#'
    """
    if not semitones:
        return symbol
    root = _moved_note(symbol.root, semitones)
    bass = symbol.bass
    if bass is not None:
        bass = note_at(root, degree_between(symbol.root, bass))
    return replace(symbol, root=root, bass=bass)


def _moved_note(note: Note, semitones: int) -> Note:
    degree = _UP[abs(semitones) % 12]
    if semitones >= 0:
        there = note_at(note, degree)
    else:
        step = (note.step - degree.number + 1) % 7
        alter = (note.pc - degree.semitones - STEP_SEMITONES[step] + 6) % 12 - 6
        there = Note(step, alter)
    return there if abs(there.alter) <= 1 else simple_note(there.pc, flats=there.alter < 0)
