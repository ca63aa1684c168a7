"""The letters of a lick: each note's spelling in the key, over the chord that holds.

What the teacher fixed comes first, then the letter that the chord gives its own note. Over a
dominant seventh the flat third of its root stays flat whichever way it goes on, and so does a
*blue* note, the tonic's flat third, fifth or seventh, where that chord stands on the tonic or on
the fourth above it. Every other note is heard by `harmony.letters`,
like the notes of chords, among the notes before and after it and with the chord under it. Over a
chord, melodies are stricter than chords in three things: a note outside the key that goes on by a
half step is a minor second from where it goes, so that it rises as a sharp and falls as a flat,
unless that were an altered name of a white key or a double accidental; a blue note that goes
elsewhere is flat (a raised fourth in major keeps its letter); and no letter makes a note that goes
elsewhere an altered octave or a sharp sixth of its chord. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from gripwright.harmony.letter_signs import Sounds
from gripwright.harmony.letter_weights import note_of
from gripwright.harmony.letters import letters
from gripwright.harmony.tones import PLAIN_DEGREES
from gripwright.theory.interval import Degree, degree_between, note_at
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.scale import Key
from gripwright.theory.spelling import degree_note, odd
from gripwright.theory.symbol import ChordSymbol

# Blue notes by their semitones above the tonic; minor has two of them anyway.
BLUE = {"major": (3, 6, 10), "mixolydian": (3, 6), "minor": (6,), "dorian": (6,)}
_FLAT_THIRD = Degree(3, -1)
_FLATS = {3: _FLAT_THIRD, 6: Degree(5, -1), 10: Degree(7, -1)}
_RAISED_FOURTH = 6  # semitones
_SELDOM = (Degree(1, -1), Degree(1, 1), Degree(6, 1))
_BLUE_ROOTS = (0, 5)  # semitones above the tonic
_DOMINANT = {4, 10}  # semitones above the root
_FLAT_OCTAVE = _SELDOM[0]
_RAISED = (Degree(6), Degree(7))  # at home in a minor key too
_MINOR_SECOND = 5  # fifths down to the note a minor second above


class Struck(NamedTuple):
    """A note of a lick, the chord that holds if one does, and its letter if it is fixed."""

    midi: int
    chord: ChordSymbol | None = None
    spelled: Note | None = None


def lick_letters(notes: Sequence[Struck], key: Key) -> tuple[Note, ...]:
    """Return the letter of each note of a lick.

    >>> from gripwright.theory.scale import parse_key
    >>> from gripwright.theory.symbol import parse_symbol
    >>> c, a = parse_symbol("C"), parse_symbol("A7")
    >>> up, down = [Struck(m, c) for m in (67, 63, 64)], [Struck(m, c) for m in (64, 63, 62)]
    >>> [lick_letters(line, parse_key("C major"))[1].name for line in (up, down)]
    ['D#', 'Eb']
    >>> [n.name for n in lick_letters([Struck(m, a) for m in (60, 61, 63, 64)], parse_key("A"))]
    ['C', 'C#', 'Eb', 'E']
    """
    if not notes:
        return ()
    sure = [_sure(note, key) for note in notes]
    if all(sure):
        return tuple(filter(None, sure))
    heard = [_over(note, known) for note, known in zip(notes, sure, strict=True)]
    found = letters(heard, [key] * len(notes))
    spelled: list[Note] = []
    goal = after = None
    for note, known, one in reversed(list(zip(notes, sure, found, strict=True))):
        if after is not None and after[0] != note.midi:
            goal = after
        best = known or _leading(note, goal, key) or _at_rest(note, one.best(note.midi), key)
        after = note.midi, best
        spelled.append(best)
    return tuple(reversed(spelled))


def _flat(midi: int, root: Note) -> Note | None:
    """Return the letter of a flat third, fifth or seventh, plain where it would be C or F flat."""
    degree = _FLATS.get((midi - root.pc) % 12)
    if degree is None:
        return None
    note = degree_note(root, degree)
    return simple_note(note.pc, flats=True) if odd(note) else note


def _sure(note: Struck, key: Key) -> Note | None:
    """Return a letter that neighbours cannot change."""
    if note.spelled is not None or note.chord is None:
        return note.spelled
    above = (note.midi - note.chord.root.pc) % 12
    claimed = [degree for degree in note.chord.degrees if degree.pc == above]
    if claimed:
        return degree_note(note.chord.root, claimed[0])
    if note.midi % 12 == note.chord.bass_note.pc:
        return note.chord.bass_note
    if not {degree.pc for degree in note.chord.degrees} >= _DOMINANT:
        return None
    if above == _FLAT_THIRD.pc:
        return _flat(note.midi, note.chord.root)
    is_blues = (note.chord.root.pc - key.tonic.pc) % 12 in _BLUE_ROOTS
    return _flat(note.midi, key.tonic) if is_blues else None


def _leading(note: Struck, goal: tuple[int, Note] | None, key: Key) -> Note | None:
    """Return the letter of a note outside the key a half step from the next, if it is plain."""
    if goal is None or note.chord is None or note.midi % 12 in _home(key):
        return None
    if abs(goal[0] - note.midi) != 1:
        return None
    up = goal[0] > note.midi
    letter = note_of(goal[1].fifths + (_MINOR_SECOND if up else -_MINOR_SECOND))
    if abs(letter.alter) > 1 or odd(letter):
        return None
    return letter if degree_between(note.chord.root, letter) != _FLAT_OCTAVE else None


def _home(key: Key) -> frozenset[int]:
    """Return the pitch classes of a key, those raised in minor too."""
    minor = note_at(key.tonic, _FLAT_THIRD) in key.notes
    raised = [note_at(key.tonic, degree) for degree in _RAISED] if minor else []
    return frozenset(note.pc for note in (*key.notes, *raised))


def _over(note: Struck, known: Note | None) -> Sounds:
    """Return a note as it sounds with the chord under it.

    The chord's notes lie beneath all that a guitar has, so that no note of the lick goes to one.
    """
    under = dict(_under(note))
    return Sounds((*under, note.midi), (*under.values(), known))


def _under(note: Struck) -> Iterator[tuple[int, Note]]:
    """Yield the chord's pitch classes with their letters, less that of the note itself."""
    if note.chord is not None:
        for letter in (*note.chord.notes, note.chord.bass_note):
            if letter.pc != note.midi % 12:
                yield letter.pc, letter


def _at_rest(note: Struck, letter: Note, key: Key) -> Note:
    """Return the letter of a note that goes nowhere by a half step: ``letter``, if it is plain."""
    if note.chord is not None:
        above = (note.midi - key.tonic.pc) % 12
        raised = above == _RAISED_FOURTH and note_at(key.tonic, _FLAT_THIRD) not in key.notes
        if above in BLUE.get(key.mode, ()) and not raised:
            return _flat(note.midi, key.tonic) or letter
        above = (note.midi - note.chord.root.pc) % 12
        plain = degree_note(note.chord.root, PLAIN_DEGREES[above])
        if degree_between(note.chord.root, letter) in _SELDOM and not odd(plain):
            return plain
    return letter if abs(letter.alter) < 2 else simple_note(letter.pc, flats=letter.alter < 0)
