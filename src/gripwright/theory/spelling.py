"""Spelling: which letter a note gets, from its chord, its key and where it goes.

Without a key a root takes its usual name for the quality; the bass is never an altered name of
a white key. In
a key every note has a strain: none for the scale, little for the usual chromatic notes (a
raised fourth, a flat seventh), more the farther it lies; a chromatic note that moves a half
step into the next chord wants to move to another letter. A chord is spelled from its root so
that its notes strain least, and a note that would strain much more than its other name takes
that name, unless the spelling is to be strict. The line of fifths as a measure of nearness
follows Temperley, The Cognition of Basic Musical Structures (2001), chapter 5 (from memory);
the strains are common practice, set on scores of music21's corpus that the evaluation leaves
out.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.scale import Key

_MIDDLE = 2
# The root of a chord in no key: common practice, no source.
_WHITE = {0, 2, 4, 5, 7, 9, 11}
_EITHER = {1, 6, 8}  # roots that are written both ways
_USUAL = {
    "other": ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"],
    "minor": ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"],
    "diminished": ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"],
}
_NOTES = tuple(
    tuple(
        Note(step, alter)
        for step in range(7)
        for alter in (-2, -1, 0, 1, 2)
        if Note(step, alter).pc == pc
    )
    for pc in range(12)
)
# Strain of a chromatic note by its place on the line of fifths above the tonic: 6 is a raised
# fourth, -2 a flat seventh. Notes of the scale have none; a place not listed has FAR.
_STRAINS = {
    "major": {-7: 12, -6: 8, -5: 5, -4: 4, -3: 4, -2: 2, 6: 2, 7: 4, 8: 4, 9: 6, 10: 10, 11: 12},
    "minor": {-8: 14, -7: 12, -6: 8, -5: 2, 3: 0, 4: 3, 5: 0, 6: 2, 7: 5, 8: 8, 9: 12, 10: 14},
}
FAR = 16
RESPELL = 6  # a note that strains so much more than its other name takes that name
_HALF_STEP = 4  # for or against a chromatic note, by the letter it moves to
_SHARP_ROOT = 6  # against a major third above a root sharper than a raised fourth

Onward = frozenset[int]
NOWHERE: Onward = frozenset()


@lru_cache(maxsize=16384)
def strain(note: Note, key: Key, onward: Onward = NOWHERE) -> int:
    """Return how far a note is from a key; ``onward`` are the next chord's pitch classes.

    >>> c = Key(Note(0))
    >>> strain(Note(3, 1), c), strain(Note(4, -1), c), strain(Note(4, -1), c, frozenset({5}))
    (2, 8, 4)
    """
    place = note.fifths - key.tonic.fifths
    if -1 <= note.fifths - key.fifths <= 5:
        return 0
    row = _STRAINS["minor" if key.mode in ("minor", "dorian", "phrygian", "locrian") else "major"]
    cost = row.get(place, FAR + abs(place) // 2)
    up, down = (note.pc + 1) % 12 in onward, (note.pc - 1) % 12 in onward
    if up == down or note.pc in onward:
        return cost
    sharp = note.fifths > key.fifths + _MIDDLE
    return cost - _HALF_STEP if sharp == up else cost + _HALF_STEP


@lru_cache(maxsize=8192)
def note_in_key(pc: int, key: Key, onward: Onward = NOWHERE) -> Note:
    """Return the spelling of a pitch class that strains least in a key.

    >>> note_in_key(6, Key(Note(0))).name, note_in_key(10, Key(Note(5), "minor")).name
    ('F#', 'Bb')
    """
    return min(_NOTES[pc % 12], key=lambda note: strain(note, key, onward))


def root_note(
    pc: int,
    content: Iterable[Degree],
    key: Key | None = None,
    onward: Onward = NOWHERE,
    *,
    low: Degree | None = None,
) -> Note:
    """Return the spelling of a chord's root by pitch class, the chord's degrees and the key.

    Without a key the usual one, or its other name where the bass, a degree ``low``, would else
    be an altered name of a white key.

    >>> from gripwright.theory.interval import degrees
    >>> root_note(8, degrees("1 b3 5 b7")).name, root_note(8, degrees("1 3 5 b7")).name
    ('G#', 'Ab')
    >>> root_note(6, degrees("1 3 #11 7"), low=Degree(11, 1)).name
    'Gb'
    """
    return _root_note(pc % 12, tuple(content), key, onward, low)


@lru_cache(maxsize=8192)
def _root_note(
    pc: int, content: tuple[Degree, ...], key: Key | None, onward: Onward, low: Degree | None
) -> Note:
    roots = [note for note in _NOTES[pc] if abs(note.alter) < 2]
    if key is None:
        usual = next(root for root in roots if root.name in _USUAL[_family(content)])
        both = [usual, *(root for root in roots if pc in _EITHER and root != usual)]
        return next((r for r in both if low is None or not odd(note_at(r, low))), usual)
    return min(roots, key=lambda root: _chord_strain(root, content, key, onward))


def odd(note: Note) -> bool:
    """Return whether a note is an altered name of a white key, such as Fb."""
    return note.alter != 0 and note.pc in _WHITE


def _family(content: tuple[Degree, ...]) -> str:
    """Return the row of usual roots that a chord follows."""
    if Degree(3, -1) not in content:
        return "other"
    return "diminished" if Degree(5, -1) in content else "minor"


def _chord_strain(
    root: Note, content: tuple[Degree, ...], key: Key, onward: Onward
) -> tuple[int, int]:
    """Return what a chord strains from a root, and a measure that breaks ties."""
    notes = [note_at(root, degree) for degree in content]
    sharp = root.fifths - key.tonic.fifths > 6 and any(d == Degree(3) for d in content)
    total = sum(strain(note, key, onward) for note in notes)
    return total + (_SHARP_ROOT if sharp else 0), abs(root.alter)


def degree_note(
    root: Note,
    degree: Degree,
    *,
    strict: bool = False,
    key: Key | None = None,
    onward: Onward = NOWHERE,
) -> Note:
    """Return the note a degree above a root.

    Unless ``strict``, no double accidental is written, and in a key a note that strains much
    more than its other name takes that name.

    >>> from gripwright.theory.interval import parse_degree
    >>> e_flat, bb7 = Note(2, -1), parse_degree("bb7")
    >>> degree_note(e_flat, bb7).name, degree_note(e_flat, bb7, strict=True).name
    ('C', 'Dbb')
    """
    note = note_at(root, degree)
    if strict:
        return note
    if key is not None:
        best = note_in_key(note.pc, key, onward)
        if strain(note, key, onward) - strain(best, key, onward) >= RESPELL:
            return best
    if abs(note.alter) < 2:
        return note
    return simple_note(note.pc, flats=note.alter < 0)
