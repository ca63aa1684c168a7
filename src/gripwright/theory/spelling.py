"""Spelling: which letter a note gets, from its chord and its key.

A root takes the spelling whose chord lies nearest the middle of the line of fifths, or nearest
the key where one is known (the middle of a key is two fifths above its major tonic). Common
practice, no source; the line of fifths as a measure of nearness follows Temperley, The
Cognition of Basic Musical Structures (2001), chapter 5 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.scale import Key

_MIDDLE = 2
_ROOTS = tuple(
    tuple(Note(step, alter) for step in range(7) for alter in (-1, 0, 1)
          if Note(step, alter).pc == pc)
    for pc in range(12)
)  # fmt: skip


def root_note(pc: int, content: Iterable[Degree], key: Key | None = None) -> Note:
    """Return the spelling of a chord's root by pitch class, the chord's degrees and the key.

    >>> from gripwright.theory.interval import degrees
    >>> root_note(8, degrees("1 b3 5 b7")).name, root_note(8, degrees("1 3 5 b7")).name
    ('G#', 'Ab')
    """
    return _root_note(pc % 12, tuple(content), key)


@lru_cache(maxsize=8192)
def _root_note(pc: int, content: tuple[Degree, ...], key: Key | None) -> Note:
    middle = _MIDDLE if key is None else key.fifths + _MIDDLE

    def strain(root: Note) -> tuple[float, int]:
        places = [note_at(root, degree).fifths for degree in content]
        return (abs(sum(places) / len(places) - middle), abs(root.alter))

    return min(_ROOTS[pc], key=strain)


def degree_note(root: Note, degree: Degree, *, strict: bool = False) -> Note:
    """Return the note a degree above a root, without double accidentals unless strict.

    >>> from gripwright.theory.interval import parse_degree
    >>> e_flat, bb7 = Note(2, -1), parse_degree("bb7")
    >>> degree_note(e_flat, bb7).name, degree_note(e_flat, bb7, strict=True).name
    ('C', 'Dbb')
    """
    note = note_at(root, degree)
    if strict or abs(note.alter) < 2:
        return note
    return simple_note(note.pc, flats=note.alter < 0)
