"""Spelled notes and pitches.

A `Note` is a spelled pitch class (letter and accidentals), a `Pitch` a note in an octave.
Octave numbers follow ISO 16 and MIDI practice: C4 is MIDI 60, A4 is MIDI 69.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from gripwright.errors import NoteError

LETTERS = "CDEFGAB"
STEP_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_PRETTY = {"#": "♯", "b": "♭"}
_NOTE = re.compile(r"([A-Ga-g])(##|x|𝄪|♯♯|#|♯|bb|𝄫|♭♭|b|♭|♮)?")
_ALTER = {
    None: 0, "♮": 0, "#": 1, "♯": 1, "##": 2, "x": 2, "𝄪": 2, "♯♯": 2,
    "b": -1, "♭": -1, "bb": -2, "𝄫": -2, "♭♭": -2,
}  # fmt: skip


@lru_cache(maxsize=64)
def accidental(alter: int, pretty: bool = False) -> str:
    """Return the accidentals of an alteration, ``-1`` as ``b`` or, pretty, as ``♭``."""
    sign = "#" if alter > 0 else "b"
    return (_PRETTY[sign] if pretty else sign) * abs(alter)


@dataclass(frozen=True, order=True, slots=True)
class Note:
    """A spelled pitch class: ``step`` 0 to 6 for C to B, ``alter`` in semitones.

    >>> Note(6, -1).name, Note(6, -1).pc
    ('Bb', 10)
    """

    step: int
    alter: int = 0
    pc: int = field(init=False, repr=False, compare=False)  # pitch class, C = 0

    def __post_init__(self) -> None:
        object.__setattr__(self, "pc", (STEP_SEMITONES[self.step] + self.alter) % 12)

    @property
    def name(self) -> str:
        """Return the ASCII name, ``F#``."""
        return LETTERS[self.step] + accidental(self.alter)

    @property
    def pretty(self) -> str:
        """Return the name with printed accidentals, ``F♯``."""
        return LETTERS[self.step] + accidental(self.alter, pretty=True)

    @property
    def fifths(self) -> int:
        """Return the place on the line of fifths, C = 0, G = 1, F = -1."""
        return (0, 2, 4, -1, 1, 3, 5)[self.step] + 7 * self.alter

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, order=True, slots=True)
class Pitch:
    """A spelled pitch: ``octave`` is the number of the letter's octave (B#3 sounds as C4).

    >>> Pitch(Note(3, 1), 3).midi
    54
    """

    note: Note
    octave: int

    @property
    def midi(self) -> int:
        """Return the MIDI number, C4 = 60."""
        return 12 * (self.octave + 1) + STEP_SEMITONES[self.note.step] + self.note.alter

    @property
    def name(self) -> str:
        """Return the ASCII name, ``F#3``."""
        return f"{self.note.name}{self.octave}"

    @property
    def pretty(self) -> str:
        """Return the printed name, ``F♯3``."""
        return f"{self.note.pretty}{self.octave}"

    def __str__(self) -> str:
        return self.name


def parse_note(text: str) -> Note:
    """Read a spelled pitch class such as ``Bb``, ``F♯`` or ``g``.

    Raises NoteError for anything else.

    >>> parse_note("e♭")
    Note(step=2, alter=-1)
    """
    match = _NOTE.fullmatch(text.strip())
    if not match:
        raise NoteError(
            f"{text!r} is not a note name",
            field="note", at=0, remedy="write a letter A to G and b or # after it, such as Bb",
        )  # fmt: skip
    return Note(LETTERS.index(match[1].upper()), _ALTER[match[2]])


def parse_pitch(text: str) -> Pitch:
    """Read a pitch such as ``E2`` or ``Bb3``; raises NoteError."""
    match = re.fullmatch(r"(.*?)(-?\d+)", text.strip())
    if not match or not -1 <= int(match[2]) <= 9:
        raise NoteError(
            f"{text!r} is not a pitch",
            field="pitch", at=0, remedy="write a note and an octave from -1 to 9, such as E2",
        )  # fmt: skip
    return Pitch(parse_note(match[1]), int(match[2]))


@lru_cache(maxsize=4096)
def pitch_name(midi: int, note: Note) -> str:
    """Return the ASCII name of the pitch that sounds ``midi`` spelled as ``note``."""
    return spell_midi(midi, note).name


@lru_cache(maxsize=4096)
def spell_midi(midi: int, note: Note) -> Pitch:
    """Return the pitch that sounds ``midi`` spelled as ``note``.

    Raises NoteError if the note is another pitch class.

    >>> spell_midi(59, parse_note("Cb")).name
    'Cb4'
    """
    if midi % 12 != note.pc:
        raise NoteError(f"MIDI {midi} is not a {note.name}", field="note")
    return Pitch(note, (midi - STEP_SEMITONES[note.step] - note.alter) // 12 - 1)


def simple_note(pc: int, flats: bool = True) -> Note:
    """Return the usual spelling of a pitch class, black keys as flats or as sharps."""
    name = (FLAT_NAMES if flats else SHARP_NAMES)[pc % 12]
    return parse_note(name)


FLAT_NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
