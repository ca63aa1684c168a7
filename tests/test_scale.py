"""Keys and modes against music21's."""

from __future__ import annotations

import pytest
from music21 import key as other

from gripwright.errors import NoteError
from gripwright.theory.scale import MODES, Key, parse_key

NAMES = ["C", "G", "D", "A", "E", "B", "F#", "F", "Bb", "Eb", "Ab", "Db", "Gb"]


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("tonic", NAMES)
def test_signature_and_notes_are_music21s(tonic: str, mode: str) -> None:
    """The same sharps and the same seven letters."""
    mine, theirs = parse_key(f"{tonic} {mode}"), other.Key(tonic.replace("b", "-"), mode)
    assert mine.fifths == theirs.sharps
    names = [pitch.name.replace("-", "b") for pitch in theirs.getPitches()[:7]]
    assert [note.name for note in mine.notes] == names


@pytest.mark.parametrize(
    ("text", "name"), [("Am", "A minor"), ("Eb", "Eb major"), ("f# min", "F# minor"),
                       ("B♭ ionian", "Bb major"), ("d-dorian", "D dorian")],
)  # fmt: skip
def test_short_writings_are_read(text: str, name: str) -> None:
    """A letter alone is major, an m minor."""
    assert parse_key(text).name == name


@pytest.mark.parametrize("text", ["", "H major", "C sharp major", "C happy", "major"])
def test_what_is_no_key_says_so(text: str) -> None:
    """The remedy shows a key."""
    with pytest.raises(NoteError) as caught:
        parse_key(text)
    assert caught.value.field == "key" and caught.value.remedy


def test_a_key_prints_both_ways() -> None:
    """ASCII and printed."""
    assert (Key(parse_key("Ab").tonic).name, parse_key("Ab").pretty) == ("Ab major", "A♭ major")
