"""Notes and pitches: MIDI 1.0 numbers (A4 = 69), ISO 16 octaves, music21 as the outside reader."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import pitch as other

from gripwright.errors import NoteError
from gripwright.theory.pitch import Note, Pitch, parse_note, parse_pitch, pitch_name, spell_midi

notes = st.builds(Note, st.integers(0, 6), st.integers(-2, 2))


@pytest.mark.parametrize(("name", "midi"), [("A4", 69), ("C4", 60), ("E2", 40), ("B#3", 60)])
def test_pitches_have_their_midi_numbers(name: str, midi: int) -> None:
    """A4 is 69 (MIDI 1.0), C4 60, and B sharp 3 sounds as C4."""
    assert parse_pitch(name).midi == midi


@settings(max_examples=60)
@given(notes, st.integers(0, 8))
def test_pitches_sound_as_music21_has_them(note: Note, octave: int) -> None:
    """Letter, accidental and octave give the same MIDI number as music21."""
    mine = Pitch(note, octave)
    assert mine.midi == other.Pitch(mine.name.replace("b", "-")).midi


@settings(max_examples=60)
@given(notes)
def test_names_read_back(note: Note) -> None:
    """ASCII and printed names both read back as the note."""
    assert parse_note(note.name) == parse_note(note.pretty) == note


@settings(max_examples=60)
@given(notes, st.integers(24, 110))
def test_a_midi_number_spelled_sounds_the_same(note: Note, midi: int) -> None:
    """Spelling changes the letter, never the sound."""
    near = midi - (midi - note.pc) % 12
    assert spell_midi(near, note).midi == near
    assert parse_pitch(pitch_name(near, note)).midi == near


def test_a_note_of_another_class_cannot_spell_a_number() -> None:
    """MIDI 60 is no D."""
    with pytest.raises(NoteError, match="not a D"):
        spell_midi(60, parse_note("D"))


@pytest.mark.parametrize("text", ["H", "", "Cbbb", "5", "C#b"])
def test_what_is_no_note_says_so(text: str) -> None:
    """The error has a remedy."""
    with pytest.raises(NoteError, match="not a note name") as caught:
        parse_note(text)
    assert caught.value.remedy


@pytest.mark.parametrize("text", ["E", "E99", "2", "X2"])
def test_what_is_no_pitch_says_so(text: str) -> None:
    """A pitch needs a letter and an octave."""
    with pytest.raises(NoteError):
        parse_pitch(text)
