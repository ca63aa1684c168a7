"""Tempo maps: one road from played quarters to seconds."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.beats import Metre, parse_metre
from gripwright.errors import InputError
from gripwright.timing import TempoMap, steady


def test_sixty_beats_a_minute_are_seconds() -> None:
    """In closed form."""
    assert steady(Fraction(60), Metre()).seconds(Fraction(7)) == pytest.approx(7.0)


def test_a_beat_of_six_eight_is_a_dotted_quarter() -> None:
    """60 beats of 6/8 take one second for one and a half quarters."""
    assert steady(Fraction(60), parse_metre("6/8")).seconds(Fraction(3)) == pytest.approx(2.0)


def test_between_knots_time_runs_straight_and_outside_it_goes_on() -> None:
    """Two slopes, one knot between them."""
    bent = TempoMap(((Fraction(0), 0.0), (Fraction(2), 1.0), (Fraction(4), 3.0)))
    assert [bent.seconds(Fraction(q)) for q in (-2, 1, 3, 5)] == [-1.0, 0.5, 2.0, 4.0]


rising = st.lists(
    st.tuples(st.integers(1, 64), st.integers(1, 5000)), min_size=2, max_size=8
)  # fmt: skip


@given(rising, st.integers(-40, 400))
def test_seconds_and_quarters_are_inverse(steps: list[tuple[int, int]], eighths: int) -> None:
    """There and back again."""
    knots = [(Fraction(0), 0.0)]
    for quarters, milliseconds in steps:
        at, second = knots[-1]
        knots.append((at + Fraction(quarters, 16), second + milliseconds / 1000))
    tempo = TempoMap(tuple(knots))
    at = Fraction(eighths, 8)
    assert tempo.quarters(tempo.seconds(at)) == pytest.approx(float(at), abs=1e-6)


def test_moving_a_map_moves_every_second() -> None:
    """A count-in puts all of it later."""
    assert steady(Fraction(120), Metre()).moved(2.0).seconds(Fraction(2)) == pytest.approx(3.0)


@pytest.mark.parametrize("knots", [((0, 0.0),), ((0, 0.0), (0, 1.0)), ((0, 1.0), (1, 1.0))])
def test_knots_must_rise(knots: tuple[tuple[int, float], ...]) -> None:
    """Time does not stand still nor run back."""
    with pytest.raises(InputError, match="rising"):
        TempoMap(tuple((Fraction(at), second) for at, second in knots))
