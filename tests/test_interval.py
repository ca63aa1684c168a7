"""Degrees against music21's intervals."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import interval as other
from music21 import pitch

from gripwright.errors import NoteError
from gripwright.theory.interval import Degree, degree_between, degrees, note_at, parse_degree
from gripwright.theory.pitch import Note

# Our degree, music21's name of the interval above the root.
TABLE = {
    "1": "P1", "b9": "m9", "9": "M9", "#9": "A9", "b3": "m3", "3": "M3", "4": "P4", "11": "P11",
    "#11": "A11", "b5": "d5", "5": "P5", "#5": "A5", "b13": "m13", "6": "M6", "13": "M13",
    "bb7": "d7", "b7": "m7", "7": "M7",
}  # fmt: skip


@pytest.mark.parametrize(("degree", "name"), TABLE.items())
def test_degrees_have_the_size_of_their_interval(degree: str, name: str) -> None:
    """Semitones as music21 counts them."""
    assert parse_degree(degree).semitones == other.Interval(name).semitones


@settings(max_examples=80)
@given(st.integers(0, 6), st.integers(-1, 1), st.sampled_from(sorted(TABLE)))
def test_a_note_at_a_degree_is_spelled_as_music21_spells_it(
    step: int, alter: int, name: str
) -> None:
    """Letter and accidental agree wherever two accidentals are enough."""
    root, degree = Note(step, alter), parse_degree(name)
    above = other.Interval(TABLE[name]).transposePitch(_pitch(root)).name.replace("-", "b")
    if abs(note_at(root, degree).alter) <= 2:
        assert note_at(root, degree).name == above


def _pitch(note: Note) -> pitch.Pitch:
    return pitch.Pitch(note.name.replace("b", "-") + "3")


@settings(max_examples=80)
@given(st.integers(0, 6), st.integers(-1, 1), st.integers(1, 7), st.integers(-1, 1))
def test_degree_between_undoes_note_at(step: int, alter: int, number: int, sign: int) -> None:
    """Root and note give the degree back."""
    degree = Degree(number, sign)
    assert degree_between(Note(step, alter), note_at(Note(step, alter), degree)) == degree


def test_degrees_print_and_read_back() -> None:
    """ASCII and printed writing read back alike."""
    for degree in degrees("1 b3 #11 bb7"):
        assert parse_degree(degree.text) == parse_degree(degree.pretty) == degree


@pytest.mark.parametrize("text", ["0", "16", "x", "", "b"])
def test_what_is_no_degree_says_so(text: str) -> None:
    """Numbers 1 to 15, with b or # before them."""
    with pytest.raises(NoteError, match="not a degree"):
        parse_degree(text)
