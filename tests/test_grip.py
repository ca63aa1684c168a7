"""Grips: writing, places, sounding strings."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.errors import GripError
from gripwright.neck.grip import Grip, bass_of, parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, make_neck, parse_tuning

frets = st.lists(st.one_of(st.none(), st.integers(0, 24)), min_size=4, max_size=8)


@given(frets)
def test_a_grip_reads_back(given_frets: list[int | None]) -> None:
    """With or without two-digit frets."""
    grip = Grip(tuple(given_frets))
    assert parse_grip(grip.text) == grip


def test_a_missing_place_offers_the_x_on_the_thumb_side() -> None:
    """Five places on six strings."""
    with pytest.raises(GripError, match="5 places") as caught:
        parse_grip("x3545", 6)
    assert caught.value.remedy is not None and "xx3545" in caught.value.remedy


@pytest.mark.parametrize(("text", "at"), [("x3!453", 2), ("", 0), ("x-3-25-0-0-0", 2), ("x-3-", 0)])
def test_what_is_no_grip_has_its_place(text: str, at: int) -> None:
    """A sign that is none, a fret off the neck."""
    with pytest.raises(GripError) as caught:
        parse_grip(text)
    assert caught.value.at == at


def test_sounding_strings_come_bass_side_first() -> None:
    """With string number and MIDI number."""
    sounds = soundings(parse_grip("x32010"), STANDARD_NECK)
    assert [(s.string, s.fret, s.midi) for s in sounds] == [
        (5, 3, 48), (4, 2, 52), (3, 0, 55), (2, 1, 60), (1, 0, 64),
    ]  # fmt: skip


def test_the_bass_is_the_lowest_pitch_not_the_lowest_string() -> None:
    """On a re-entrant neck the bass lies on an inner string."""
    neck = make_neck(parse_tuning("G4 C4 E4 A4"))
    assert bass_of(soundings(parse_grip("0003"), neck)).string == 3
