"""Readings of grips: common practice, no source, unless a source is named."""

from __future__ import annotations

import pytest

from gripwright.errors import GripError
from gripwright.harmony.reading import readings
from gripwright.neck.grip import parse_grip


def test_a_plain_seventh_chord_is_named_with_its_degrees() -> None:
    """A root-position Cmaj7 gets its symbol and each note its degree."""
    best = readings(parse_grip("x35453"))[0]
    assert best.symbol is not None
    assert best.symbol.text == "Cmaj7"
    assert [tone.degree.text for tone in best.tones] == ["1", "5", "7", "3", "5"]


def test_one_note_is_no_chord() -> None:
    """A grip with a single sounding string is refused with a remedy."""
    with pytest.raises(GripError, match="one note"):
        readings(parse_grip("x3xxxx"))
