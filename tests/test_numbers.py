"""Numbers on the command line: finite, plain digits, within their limits."""

from __future__ import annotations

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.cli.numbers import Number, Whole


@given(st.floats(-1e9, 1e9))
def test_a_finite_number_comes_back(number: float) -> None:
    """As Python writes it."""
    assert Number().convert(repr(number), None, None) == number


@pytest.mark.parametrize("text", ["nan", "NaN", "inf", "-Infinity", "1e999", "٣", "", "1_0", "0x1"])
def test_what_is_no_finite_number_is_refused(text: str) -> None:
    """In the words of wrong use."""
    with pytest.raises(click.BadParameter, match="is not a number"):
        Number().convert(text, None, None)


@pytest.mark.parametrize("text", ["3.5", "٣", "1e3", "", "9" * 40])
def test_what_is_no_whole_number_is_refused(text: str) -> None:
    """Digits of other scripts and fractions too."""
    with pytest.raises(click.BadParameter, match="is not a whole number"):
        Whole().convert(text, None, None)


def test_limits_are_told() -> None:
    """Both of them, and each is itself allowed."""
    assert (Whole(1, 100).convert("1", None, None), Whole(1, 100).convert("100", None, None)) == (
        1, 100,
    )  # fmt: skip
    with pytest.raises(click.BadParameter, match="a whole number from 1 to 100"):
        Whole(1, 100).convert("101", None, None)
    with pytest.raises(click.BadParameter, match="a number, 0 or more"):
        Number(0).convert("-1", None, None)
