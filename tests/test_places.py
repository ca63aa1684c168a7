"""Where a note lies from the nearest root under the hand."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.harmony.places import nearest_root, place_words, roots_under_hand
from gripwright.harmony.reading import readings
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.tuning import STANDARD_NECK

grips = st.lists(st.one_of(st.none(), st.integers(0, 9)), min_size=6, max_size=6).filter(
    lambda frets: sum(fret is not None for fret in frets) > 1
)


def test_a_flat_seventh_is_found_below_the_root_of_its_string() -> None:
    """The example of the brief: two frets below the root of the same string."""
    grip = parse_grip("x32333")
    best = readings(grip)[0]
    assert place_words(best.tones[2], grip, best.root) == (
        "the ♭7 on string 3, fret 3 sits two frets below the root at fret 5 of the same string"
    )


def test_another_string_is_said_by_its_side() -> None:
    """The third of an open C lies beside the bass root."""
    grip = parse_grip("x32010")
    best = readings(grip)[0]
    assert place_words(best.tones[1], grip, best.root) == (
        "the 3 on string 4, fret 2 lies one string to the treble side of the root on string 5,"
        " fret 3, one fret lower"
    )


def test_a_root_that_sounds_is_told_before_one_as_near_that_does_not() -> None:
    """The fifth of a bare fifth lies above the root in the bass, not below one that is silent."""
    grip = parse_grip("x57xxx")
    best = readings(grip)[0]
    assert place_words(best.tones[1], grip, best.root) == (
        "the 5 on string 4, fret 7 lies one string to the treble side of the root on string 5,"
        " fret 5, two frets higher"
    )


def test_open_strings_are_not_counted_in_frets_from_far_up() -> None:
    """Two open strings lie side by side; one beside a hand at the ninth fret rings open."""
    for frets, tone, words in (
        ("320003", 4, "the 3 on open string 2 lies one string to the treble side of the root on"
         " open string 3, open too"),
        ("xx990x", 2, "the 5 on open string 2 lies one string to the treble side of the root on"
         " string 3, fret 9, and rings open"),
    ):  # fmt: skip
        grip = parse_grip(frets)
        best = readings(grip)[0]
        assert place_words(best.tones[tone], grip, best.root) == words


@settings(max_examples=100, deadline=None)
@given(grips)
def test_no_root_is_named_that_is_not_there(frets: list[int | None]) -> None:
    """Every root told sounds as the root when its place is pressed."""
    grip = Grip(tuple(frets))
    best = readings(grip)[0]
    for tone in best.tones:
        place = nearest_root(tone, grip, best.root)
        words = place_words(tone, grip, best.root)
        if place is None:
            assert not roots_under_hand(grip, best.root)
            continue
        assert STANDARD_NECK.midi(6 - place.string, place.fret) % 12 == best.root.pc
        if tone.degree.text != "1":
            assert re.search(rf"\b(fret {place.fret}|open)\b", words)
