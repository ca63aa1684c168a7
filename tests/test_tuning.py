"""Tunings and necks."""

from __future__ import annotations

import pytest

from gripwright.errors import TuningError
from gripwright.neck.tuning import STANDARD, make_neck, parse_tuning, string_number


def test_standard_tuning_is_the_open_guitar() -> None:
    """E2 A2 D3 G3 B3 E4 are MIDI 40 45 50 55 59 64 (common practice; MIDI 1.0 numbers)."""
    assert STANDARD.midi == (40, 45, 50, 55, 59, 64)


@pytest.mark.parametrize(
    "text",
    ["G4 C4 E4 A4", "B1 E2 A2 D3 G3 B3 E4", "F#1 B1 E2 A2 D3 G3 B3 E4", "D2 A2 D3 F#3 A3 D4"],
)
def test_tunings_of_four_to_eight_strings_read_back(text: str) -> None:
    """Re-entrant ones keep their order."""
    assert parse_tuning(text).text == text


@pytest.mark.parametrize(
    ("text", "at"), [("E2 A2 D3", None), ("E2 A2 D3 G3 B3 H4", 5), ("E A D G B E", 0), ("", None)]
)
def test_a_wrong_tuning_names_the_string(text: str, at: int | None) -> None:
    """Its place, counted from the bass side."""
    with pytest.raises(TuningError) as caught:
        parse_tuning(text)
    assert caught.value.at == at and caught.value.remedy


def test_a_capo_raises_every_string() -> None:
    """Frets count from it."""
    neck = make_neck(capo=3)
    assert [neck.midi(index, 2) for index in range(6)] == [midi + 5 for midi in STANDARD.midi]
    assert neck.capo == 3


def test_a_partial_capo_is_one_stop_a_string() -> None:
    """Strings without a stop keep their pitch; there is no single capo fret."""
    neck = make_neck(capo=(0, 2, 2, 2, 0, 0))
    assert [neck.midi(index, 0) for index in range(6)] == [40, 47, 52, 57, 59, 64]
    assert neck.capo is None


@pytest.mark.parametrize("capo", [-1, 13, (1, 2), (0, 0, 0, 0, 0, 20)])
def test_a_capo_off_the_neck_is_refused(capo: int | tuple[int, ...]) -> None:
    """Fret 0 to 12, one stop for each string."""
    with pytest.raises(TuningError) as caught:
        make_neck(capo=capo)
    assert caught.value.field == "capo"


def test_string_one_is_the_treble_side() -> None:
    """Strings count from the treble side, indexes from the bass side."""
    assert [string_number(index, 6) for index in range(6)] == [6, 5, 4, 3, 2, 1]
