"""Grips and changes in words."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.draw.words import change_in_words, grip_in_words
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.tuning import STANDARD, STANDARD_NECK, make_neck


def fingers(text: str) -> tuple:
    """Read one finger a string, ``.`` for none."""
    return tuple(None if sign == "." else sign for sign in text)


def test_strings_are_said_bass_side_first_with_fingers() -> None:
    """Each sounding string is said with fret and finger, what is silent comes last."""
    assert grip_in_words(parse_grip("x24442"), STANDARD_NECK, fingers(".12341")) == (
        "first finger across strings 5 to 1 at fret 2; string 4 fret 4, second finger; "
        "string 3 fret 4, ring finger; string 2 fret 4, little finger; do not play string 6"
    )


def test_open_strings_and_several_silent_ones() -> None:
    """Open strings are called open; silent ones are listed together."""
    assert grip_in_words(parse_grip("xx023x"), STANDARD_NECK) == (
        "string 4 open; string 3 fret 2; string 2 fret 3; do not play strings 6, 5 and 1"
    )


def test_the_thumb_is_named() -> None:
    """A thumb over the top is said."""
    said = grip_in_words(parse_grip("2x0232"), STANDARD_NECK, fingers("T..132"))
    assert said.startswith("string 6 fret 2, thumb;")


def test_capo_is_said() -> None:
    """With a capo the words say where frets are counted from, with a partial one which."""
    grip = parse_grip("x02210")
    assert "from the capo at fret 3" in grip_in_words(grip, make_neck(STANDARD, 3))
    partial = grip_in_words(grip, make_neck(STANDARD, (0, 2, 2, 2, 0, 0)))
    assert "string 5 at fret 2, string 4 at fret 2 and string 3 at fret 2" in partial


@pytest.mark.parametrize(
    ("before", "after", "old", "new", "said"),
    [
        # the example of the issue: one finger stays, the others go up together
        ("x2122x", "x2233x", ".2134.", ".2134.",
         "keep the second finger; the others move up one fret"),
        ("x32010", "032010", ".32.1.", ".32.1.", "keep the first, second and ring fingers"),
        ("x02210", "x0222x", "..231.", "..123.",
         "move the first finger up one fret and two strings toward the bass side"),
        ("022000", "000000", ".12...", "......", "lift the first and second fingers"),
        ("000000", "133211", "......", "134211",
         "set the first finger on strings 6 to 1 at fret 1"),
    ],
)  # fmt: skip
def test_changes_in_words(before: str, after: str, old: str, new: str, said: str) -> None:
    """Kept fingers come first, alike moves are said together, then new and lifted fingers."""
    words = change_in_words(parse_grip(before), parse_grip(after), fingers(old), fingers(new))
    assert said in words


def test_a_change_to_the_same_grip_keeps_every_finger() -> None:
    """Nothing moves when nothing changes."""
    grip, held = parse_grip("x32010"), fingers(".32.1.")
    assert change_in_words(grip, grip, held, held) == "keep the first, second and ring fingers"


FRETS = st.lists(st.one_of(st.none(), st.integers(0, 15)), min_size=6, max_size=6)


@settings(max_examples=60)
@given(FRETS)
def test_every_string_is_said_once(frets: list) -> None:
    """Without fingers each sounding string has a phrase of its own, each silent one a number."""
    grip = Grip(tuple(frets))
    words = grip_in_words(grip, STANDARD_NECK)
    sounding = [f for f in frets if f is not None]
    assert words.count("fret ") + words.count(" open") == len(sounding)
    for index, fret in enumerate(frets):
        phrase = f"string {6 - index} " + ("open" if fret == 0 else f"fret {fret}")
        assert (phrase in words) == (fret is not None)
