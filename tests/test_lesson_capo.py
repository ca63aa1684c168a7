"""Shape and sound under a capo."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.lesson.capo import moved, shape_symbol
from gripwright.neck.tuning import make_neck
from gripwright.theory.symbol import parse_symbol


# Shape, fret, sound: any capo chart; common practice, no source.
@pytest.mark.parametrize(
    ("shape", "fret", "sound"),
    [
        ("G", 2, "A"), ("C", 3, "Eb"), ("Em7", 5, "Am7"), ("D/F#", 2, "E/G#"), ("A", 1, "Bb"),
        ("F#m7(b5)", 1, "Gm7(b5)"), ("Db", 1, "D"), ("B", 4, "D#"), ("G", 12, "G"),
    ],
)  # fmt: skip
def test_a_shape_under_a_capo_sounds_higher(shape: str, fret: int, sound: str) -> None:
    """And the sound's shape is the one we began with."""
    assert moved(parse_symbol(shape), fret).text == sound


@given(st.sampled_from(["C", "D", "E", "F", "G", "A", "B", "Bb", "F#", "Eb"]), st.integers(1, 12))
def test_the_shape_is_as_many_semitones_lower_as_the_capo_is_high(root: str, fret: int) -> None:
    """Whatever its spelling."""
    sound = parse_symbol(root + "m7")
    shape = shape_symbol(sound, make_neck(capo=fret))
    assert shape is not None
    assert (sound.root.pc - shape.root.pc - fret) % 12 == 0
    assert shape.quality == sound.quality


def test_without_a_full_capo_there_is_no_other_name() -> None:
    """None at all, or only some strings stopped."""
    assert shape_symbol(parse_symbol("A"), make_neck()) is None
    assert shape_symbol(parse_symbol("A"), make_neck(capo=(0, 2, 2, 2, 0, 0))) is None
