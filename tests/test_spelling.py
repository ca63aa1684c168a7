"""Letters of notes in their chord, without a key: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.theory.interval import degrees
from gripwright.theory.pitch import Note
from gripwright.theory.spelling import degree_note, root_note


@pytest.mark.parametrize(
    ("pc", "content", "name"),
    [(1, "1 b3 5", "C#"), (1, "1 3 5", "Db"), (3, "1 3 5", "Eb"), (6, "1 b3 5", "F#"),
     (8, "1 b3 5", "G#"), (10, "1 b3 5", "Bb"), (0, "1 b3 b5 bb7", "C"), (11, "1 3 5", "B")],
)  # fmt: skip
def test_roots_without_a_key_take_the_usual_name(pc: int, content: str, name: str) -> None:
    """The one with fewer and plainer accidentals."""
    assert root_note(pc, degrees(content)).name == name


@settings(max_examples=100)
@given(st.integers(0, 6), st.integers(-1, 1), st.sampled_from(degrees("b3 b5 bb7 #9 #5 #11 b13")))
def test_readable_letters_have_one_accidental_at_most(
    step: int, alter: int, degree: object
) -> None:
    """And sound as the strict ones do."""
    root = Note(step, alter)
    readable, strict = degree_note(root, degree), degree_note(root, degree, strict=True)
    assert abs(readable.alter) <= 1
    assert readable.pc == strict.pc
