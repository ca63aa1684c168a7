"""What each note of a grip is under a symbol."""

from __future__ import annotations

import pytest

from gripwright.errors import GripError
from gripwright.harmony.tones import tones_under
from gripwright.neck.grip import parse_grip
from gripwright.theory.symbol import parse_symbol


@pytest.mark.parametrize(
    ("symbol", "grip", "told"),
    [
        ("Cmaj7", "x35453", "1 5 7 3 5"), ("A7(#9)", "5x566x", "1 b7 3 b13"),
        ("D/F#", "2x0232", "3 1 5 1 3"), ("F/G", "3x3211", "9 1 3 5 1"),
        ("E9", "x7677x", "1 3 b7 9"), ("Asus2", "x02200", "1 5 1 9 5"),
    ],
)  # fmt: skip
def test_notes_get_their_degree(symbol: str, grip: str, told: str) -> None:
    """Counted from the symbol's root; a second is a second under a suspended symbol."""
    tones = tones_under(parse_symbol(symbol), parse_grip(grip))
    want = told.replace("9", "2") if "sus2" in symbol else told
    assert " ".join(tone.degree.text for tone in tones) == want


def test_a_foreign_note_is_told_and_not_claimed() -> None:
    """C over a grip that sounds B flat."""
    tones = tones_under(parse_symbol("C"), parse_grip("x32310"))
    assert [(t.note.name, t.degree.text) for t in tones if not t.claimed] == [("Bb", "b7")]


def test_a_slash_bass_is_claimed_with_the_letter_it_was_given() -> None:
    """The bass of Ab/Gb is G flat, whatever string it is on."""
    tones = tones_under(parse_symbol("Ab/Gb"), parse_grip("2x111x"))
    assert (tones[0].note.name, tones[0].claimed) == ("Gb", True)


def test_letters_follow_the_symbol() -> None:
    """Double accidentals only when strict."""
    grip, symbol = parse_grip("xx1212"), parse_symbol("Ebdim7")
    assert [t.pitch.name for t in tones_under(symbol, grip)] == ["Eb3", "A3", "C4", "Gb4"]
    strict = [t.pitch.name for t in tones_under(symbol, grip, strict=True)]
    assert strict == ["Eb3", "Bbb3", "Dbb4", "Gb4"]


def test_a_grip_that_does_not_fit_is_refused() -> None:
    """Four places on six strings."""
    with pytest.raises(GripError):
        tones_under(parse_symbol("C"), parse_grip("0003"))
