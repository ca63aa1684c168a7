"""Metres: lengths, beats and their writing. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.beats import Metre, default_groups, parse_metre
from gripwright.errors import InputError


@pytest.mark.parametrize(
    ("text", "length", "beats"),
    [("4/4", 4, ["1", "1", "1", "1"]), ("3/4", 3, ["1", "1", "1"]), ("6/8", 3, ["3/2", "3/2"]),
     ("12/8", 6, ["3/2"] * 4), ("7/8 = 2+2+3", Fraction(7, 2), ["1", "1", "3/2"]),
     ("2/2", 4, ["2", "2"]), ("3/8", Fraction(3, 2), ["1/2"] * 3)],
)  # fmt: skip
def test_metres_have_their_length_and_beats(text: str, length: Fraction, beats: list[str]) -> None:
    """Compound metres count in threes, others in their unit, uneven ones as stated."""
    metre = parse_metre(text)
    assert metre.length == length
    assert metre.beats == tuple(Fraction(beat) for beat in beats)


@given(st.lists(st.integers(1, 5), min_size=1, max_size=6), st.sampled_from([2, 4, 8, 16]))
def test_a_metre_reads_back_and_its_beats_fill_the_bar(groups: list[int], unit: int) -> None:
    """Whatever the grouping."""
    metre = Metre(sum(groups), unit, tuple(groups))
    assert parse_metre(metre.text) == metre
    assert sum(metre.beats) == metre.length


def test_offsets_become_beats() -> None:
    """Half-way through the last, longer beat of 7/8 is beat 3.5; after the bar it counts on."""
    metre = parse_metre("7/8 = 2+2+3")
    assert metre.beat_at(Fraction(0)) == 1
    assert metre.beat_at(Fraction(11, 4)) == Fraction(7, 2)
    assert metre.beat_at(Fraction(7, 2)) == 4


def test_only_compound_metres_group_in_threes() -> None:
    """Six eighths do, three eighths and six quarters do not."""
    assert default_groups(6, 8) == (3, 3)
    assert default_groups(3, 8) == (1, 1, 1)
    assert default_groups(6, 4) == (1,) * 6


@pytest.mark.parametrize("text", ["", "4", "4/3", "0/4", "65/4", "7/8 = 2+2", "4/4 = 4+0", "x/4"])
def test_what_is_no_metre_says_so(text: str) -> None:
    """Also beats that do not add up."""
    with pytest.raises(InputError) as caught:
        parse_metre(text)
    assert caught.value.field == "metre" and caught.value.remedy
