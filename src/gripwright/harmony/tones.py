"""Tones: the sounding notes of a grip as a symbol hears them."""

from __future__ import annotations

from typing import NamedTuple

from gripwright.neck.grip import Grip, Sounding, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.interval import Degree, degrees
from gripwright.theory.pitch import Note, Pitch, spell_midi
from gripwright.theory.spelling import degree_note
from gripwright.theory.symbol import ChordSymbol

# The degree of a note that its chord does not claim, by semitones above the root.
PLAIN_DEGREES = degrees("1 b9 9 b3 3 11 #11 5 b13 13 b7 7")


class Tone(NamedTuple):
    """One sounding note: string 1 is the highest, ``fret`` counts from the capo.

    ``claimed`` is False for a note that the symbol does not account for.
    """

    string: int
    fret: int
    midi: int
    note: Note
    degree: Degree
    claimed: bool = True

    @property
    def pitch(self) -> Pitch:
        """Return the spelled pitch."""
        return spell_midi(self.midi, self.note)


def tones_under(
    symbol: ChordSymbol, grip: Grip, neck: Neck = STANDARD_NECK, *, strict: bool = False
) -> tuple[Tone, ...]:
    """Return each sounding note's spelling and degree under a symbol, bass side first.

    A foreign note gets its plain degree and ``claimed`` False; a slash bass is claimed.
    Raises GripError if the grip does not fit the neck.

    >>> from gripwright.neck.grip import parse_grip
    >>> from gripwright.theory.symbol import parse_symbol
    >>> [t.degree.text for t in tones_under(parse_symbol("C9"), parse_grip("x3233x"))]
    ['1', '3', 'b7', '9']
    """
    claimed = {degree.pc: degree for degree in symbol.degrees}
    return tuple(
        _tone(symbol, claimed, sound, strict) for sound in soundings(grip, neck)
    )  # fmt: skip


def _tone(symbol: ChordSymbol, claimed: dict[int, Degree], sound: Sounding, strict: bool) -> Tone:
    above = (sound.midi - symbol.root.pc) % 12
    degree = claimed.get(above, PLAIN_DEGREES[above])
    bass = symbol.bass_note
    if sound.midi % 12 == bass.pc and above not in claimed:
        return Tone(sound.string, sound.fret, sound.midi, bass, degree)
    note = degree_note(symbol.root, degree, strict=strict)
    return Tone(sound.string, sound.fret, sound.midi, note, degree, above in claimed)
