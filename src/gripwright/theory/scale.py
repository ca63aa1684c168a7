"""Scales, modes and keys."""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.errors import NoteError
from gripwright.theory.interval import Degree, degrees, note_at
from gripwright.theory.pitch import Note, parse_note

# Seven modes of the major scale and the minor forms: degrees from the tonic.
# Source: any open harmony textbook; checked in the tests against music21's scale module.
MODES: dict[str, tuple[Degree, ...]] = {
    "major": degrees("1 2 3 4 5 6 7"),
    "minor": degrees("1 2 b3 4 5 b6 b7"),
    "dorian": degrees("1 2 b3 4 5 6 b7"),
    "phrygian": degrees("1 b2 b3 4 5 b6 b7"),
    "lydian": degrees("1 2 3 #4 5 6 7"),
    "mixolydian": degrees("1 2 3 4 5 6 b7"),
    "locrian": degrees("1 b2 b3 4 b5 b6 b7"),
}
# Fifths to add to the tonic's place to reach the key signature.
_SIGNATURE = {
    "major": 0, "lydian": 1, "mixolydian": -1, "dorian": -2, "minor": -3, "phrygian": -4,
    "locrian": -5,
}  # fmt: skip
_ALIASES = {"maj": "major", "min": "minor", "m": "minor", "aeolian": "minor", "ionian": "major"}


@dataclass(frozen=True, slots=True)
class Key:
    """A tonal centre: tonic and mode, one of `MODES`.

    >>> parse_key("Ab major").fifths
    -4
    """

    tonic: Note
    mode: str = "major"

    @property
    def name(self) -> str:
        """Return the ASCII name, ``Ab major``."""
        return f"{self.tonic.name} {self.mode}"

    @property
    def pretty(self) -> str:
        """Return the printed name, ``A♭ major``."""
        return f"{self.tonic.pretty} {self.mode}"

    @property
    def fifths(self) -> int:
        """Return the key signature: sharps positive, flats negative."""
        return self.tonic.fifths + _SIGNATURE[self.mode]

    @property
    def notes(self) -> tuple[Note, ...]:
        """Return the seven spelled notes from the tonic up."""
        return tuple(note_at(self.tonic, degree) for degree in MODES[self.mode])

    def __str__(self) -> str:
        return self.name


def parse_key(text: str) -> Key:
    """Read a key such as ``Ab major``, ``D dorian``, ``F# minor`` or ``Am``; raises NoteError."""
    words = text.strip().replace("-", " ").split()
    remedy = "write a tonic and a mode, such as Ab major or D dorian"
    if len(words) == 1 and len(words[0]) > 1 and words[0].endswith("m"):
        words = [words[0][:-1], "minor"]
    if len(words) == 1:
        words.append("major")
    if len(words) != 2:
        raise NoteError(f"{text!r} is not a key", field="key", at=0, remedy=remedy)
    mode = _ALIASES.get(words[1].lower(), words[1].lower())
    if mode not in MODES:
        raise NoteError(
            f"{words[1]!r} is not a mode", field="key", at=len(words[0]) + 1,
            remedy=f"use one of {', '.join(MODES)}",
        )  # fmt: skip
    try:
        tonic = parse_note(words[0])
    except NoteError as error:
        raise NoteError(f"{text!r} is not a key", field="key", at=0, remedy=remedy) from error
    return Key(tonic, mode)
