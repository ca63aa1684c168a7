"""Spelling without a key: which letter a note gets from its chord alone.

A root takes its usual name for the quality, the bass is never an altered name of a white key,
and no double accidental is written, unless the spelling is to be strict. In a key, and among
neighbours, letters are found by `harmony.letters`.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note, simple_note

# The root of a chord in no key: common practice, no source.
_WHITE = {0, 2, 4, 5, 7, 9, 11}
_EITHER = {1, 6, 8}  # roots that are written both ways
_USUAL = {
    "other": ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"],
    "minor": ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"],
    "diminished": ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"],
}


def root_note(pc: int, content: Iterable[Degree], *, low: Degree | None = None) -> Note:
    """Return the usual spelling of a chord's root by pitch class and the chord's degrees.

    Or its other name, where the bass, a degree ``low``, would else be an altered name of a
    white key.

    >>> from gripwright.theory.interval import degrees
    >>> root_note(8, degrees("1 b3 5 b7")).name, root_note(8, degrees("1 3 5 b7")).name
    ('G#', 'Ab')
    >>> root_note(6, degrees("1 3 #11 7"), low=Degree(11, 1)).name
    'Gb'
    """
    return _root_note(pc % 12, tuple(content), low)


@lru_cache(maxsize=8192)
def _root_note(pc: int, content: tuple[Degree, ...], low: Degree | None) -> Note:
    roots = names_of(pc)
    usual = next(root for root in roots if root.name in _USUAL[_family(content)])
    both = [usual, *(root for root in roots if pc in _EITHER and root != usual)]
    return next((r for r in both if low is None or not odd(note_at(r, low))), usual)


@lru_cache(maxsize=12)
def names_of(pc: int) -> tuple[Note, ...]:
    """Return the names of a pitch class with one accidental at most.

    >>> [note.name for note in names_of(8)]
    ['G#', 'Ab']
    """
    plain = (Note(step, alter) for step in range(7) for alter in (-1, 0, 1))
    return tuple(note for note in plain if note.pc == pc)


def odd(note: Note) -> bool:
    """Return whether a note is an altered name of a white key, such as Fb."""
    return note.alter != 0 and note.pc in _WHITE


def _family(content: tuple[Degree, ...]) -> str:
    """Return the row of usual roots that a chord follows."""
    if Degree(3, -1) not in content:
        return "other"
    return "diminished" if Degree(5, -1) in content else "minor"


def degree_note(root: Note, degree: Degree, *, strict: bool = False) -> Note:
    """Return the note a degree above a root; unless ``strict``, with no double accidental.

    >>> from gripwright.theory.interval import parse_degree
    >>> e_flat, bb7 = Note(2, -1), parse_degree("bb7")
    >>> degree_note(e_flat, bb7).name, degree_note(e_flat, bb7, strict=True).name
    ('C', 'Dbb')
    """
    note = note_at(root, degree)
    if strict or abs(note.alter) < 2:
        return note
    return simple_note(note.pc, flats=note.alter < 0)
