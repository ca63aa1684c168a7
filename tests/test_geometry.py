"""The neck and the hand in millimetres."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.errors import InputError
from gripwright.neck.geometry import (
    HANDS,
    LARGE,
    MEDIUM,
    SMALL,
    Build,
    Hand,
    across_mm,
    fret_mm,
    gap_mm,
    press_n,
    reach_share,
)


@pytest.mark.parametrize(("low", "high", "mm"), [(1, 4, 97.6), (5, 8, 77.5), (9, 12, 61.5)])
def test_fret_spans_of_a_650_mm_string(low: int, high: int, mm: float) -> None:
    """Spans computed from the law of equal temperament, L(1 - 2^(-n/12))."""
    assert round(fret_mm(high) - fret_mm(low), 1) == mm


def test_the_twelfth_fret_halves_the_string() -> None:
    """An octave is half the string, two octaves three quarters of it."""
    assert math.isclose(fret_mm(12, 630.0), 315.0)
    assert math.isclose(fret_mm(24, 630.0), 472.5)


@given(st.integers(1, 20), st.integers(0, 4))
@settings(max_examples=60)
def test_a_gap_shrinks_up_the_neck(low: int, wide: int) -> None:
    """What a hand opens for the same number of frets never grows one fret higher."""
    assert gap_mm(low + 1, low + 1 + wide) <= gap_mm(low, low + wide)


def test_hands_scale_with_their_length() -> None:
    """A larger hand reaches further between any two fingers, and asks less of itself."""
    for low, high in ((1, 2), (2, 3), (3, 4), (1, 4)):
        assert SMALL.limit_mm(low, high) < MEDIUM.limit_mm(low, high) < LARGE.limit_mm(low, high)
    assert reach_share(1, 5, SMALL) > reach_share(1, 5, MEDIUM) > reach_share(1, 5, LARGE)
    assert list(HANDS) == ["small", "medium", "large"]


def test_fingers_have_the_published_lengths() -> None:
    """Mean finger lengths of 51 adults: Chatzioglou et al. 2024, Anat Cell Biol 57:172."""
    assert [round(MEDIUM.finger_mm(finger), 1) for finger in (1, 2, 3, 4)] == [
        63.9, 70.7, 65.5, 53.3
    ]  # fmt: skip


@pytest.mark.parametrize("length", [math.nan, math.inf, 0.0, -184.0, 1840.0])
def test_a_hand_that_cannot_be_is_refused(length: float) -> None:
    """Neither a number that is none nor one out of all measure makes a hand."""
    with pytest.raises(InputError, match="mm long") as caught:
        Hand(length)
    assert caught.value.field == "hand"


def test_strings_spread_toward_the_bridge() -> None:
    """The outer strings lie further apart at fret 12 than at the nut, the bass side positive."""
    nut = across_mm(0, 6, 0) - across_mm(5, 6, 0)
    high = across_mm(0, 6, 12) - across_mm(5, 6, 12)
    assert math.isclose(nut, 5 * 7.2)
    assert math.isclose(high, 5 * (7.2 + 10.5) / 2)
    assert across_mm(0, 6, 0) > 0 > across_mm(5, 6, 0)


def test_strings_press_hardest_by_the_nut() -> None:
    """T h (1/a + 1/b) falls from fret 1 and rises again toward the body."""
    forces = [press_n(2, 6, fret) for fret in range(1, 20)]
    lowest = forces.index(min(forces))
    assert 0 < lowest < 10
    assert forces[0] == max(forces[:12])


@pytest.mark.parametrize("field", ["action", "gauge"])
def test_action_and_gauge_make_pressing_harder(field: str) -> None:
    """Light, medium and heavy set-ups press in that order."""
    builds = (Build(**{field: grade}) for grade in ("light", "medium", "heavy"))
    light, medium, heavy = (press_n(3, 6, 5, 0, build) for build in builds)
    assert light < medium < heavy


def test_a_capo_eases_the_fret_above_it_as_a_nut_does() -> None:
    """Just above a capo the string is as short of travel as just above the nut."""
    assert press_n(3, 6, 3, stop=2) > press_n(3, 6, 3, stop=0)
