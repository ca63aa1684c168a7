"""Letters of notes in their chord and key: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.theory.interval import degrees
from gripwright.theory.pitch import Note
from gripwright.theory.scale import MODES, Key, parse_key
from gripwright.theory.spelling import degree_note, note_in_key, root_note, strain

keys = st.builds(
    Key,
    st.sampled_from([Note(step, alter) for step in range(7) for alter in (-1, 0, 1)]),
    st.sampled_from(sorted(MODES)),
)


@settings(max_examples=100)
@given(keys)
def test_the_scale_keeps_its_letters(key: Key) -> None:
    """Every note of a key is spelled as the key spells it, without strain."""
    for note in key.notes:
        assert note_in_key(note.pc, key) == note
        assert strain(note, key) == 0


@pytest.mark.parametrize(
    ("key", "chord", "letters"),
    [
        ("E major", (8, "1 b3 5 b7"), "G# B D# F#"), ("Gb major", (8, "1 b3 5 b7"), "Ab Cb Eb Gb"),
        ("C major", (1, "1 3 5 b7"), "Db F Ab Cb"), ("C major", (6, "1 b3 b5 b7"), "F# A C E"),
        ("C major", (8, "1 3 5"), "Ab C Eb"), ("A minor", (4, "1 3 5 b7"), "E G# B D"),
        ("F minor", (0, "1 3 5 b7"), "C E G Bb"), ("Db major", (6, "1 3 5"), "Gb Bb Db"),
        ("B major", (10, "1 b3 b5 b7"), "A# C# E G#"), ("A minor", (8, "1 b3 b5 bb7"), "G# B D F"),
    ],
)  # fmt: skip
def test_chords_are_spelled_in_their_key(key: str, chord: tuple[int, str], letters: str) -> None:
    """Diatonic, borrowed, applied and substitute chords."""
    where, content = parse_key(key), degrees(chord[1])
    root = root_note(chord[0], content, where)
    assert " ".join(degree_note(root, degree).name for degree in content) == letters


@pytest.mark.parametrize(
    ("pc", "content", "name"),
    [(1, "1 b3 5", "C#"), (1, "1 3 5", "Db"), (3, "1 3 5", "Eb"), (6, "1 b3 5", "F#"),
     (8, "1 b3 5", "G#"), (10, "1 b3 5", "Bb"), (0, "1 b3 b5 bb7", "C"), (11, "1 3 5", "B")],
)  # fmt: skip
def test_roots_without_a_key_take_the_usual_name(pc: int, content: str, name: str) -> None:
    """The one with fewer and plainer accidentals."""
    assert root_note(pc, degrees(content)).name == name


def test_a_chromatic_note_leans_where_it_goes() -> None:
    """Up to G it is F sharp, down to F it is G flat's turn to strain less."""
    key, up, down = parse_key("C major"), frozenset({7}), frozenset({5})
    sharp, flat = Note(3, 1), Note(4, -1)
    assert strain(sharp, key, up) < strain(sharp, key) < strain(sharp, key, down)
    assert strain(flat, key, down) < strain(flat, key) < strain(flat, key, up)


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
