"""Licks against the chords under them."""

from __future__ import annotations

import pytest

from gripwright.harmony.lick_letters import Struck, lick_letters
from gripwright.harmony.licks import LickTone, implied_mode, judge
from gripwright.theory.pitch import parse_note
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol

KEY = parse_key("C major")


def line(chord: str, *midi: int, lengths: tuple[float, ...] | None = None) -> list[str]:
    """Return degree and role of each note of a line over one chord."""
    symbol = parse_symbol(chord)
    sizes = lengths or (1.0,) * len(midi)
    tones = [LickTone(m, size, symbol) for m, size in zip(midi, sizes, strict=True)]
    return [f"{one.degree} {one.role}" for one in judge(tones, KEY)]


def test_an_arpeggio_is_all_chord_tones() -> None:
    """Up the chord."""
    assert line("Cmaj7", 60, 64, 67, 71) == [
        "1 chord tone", "3 chord tone", "5 chord tone", "7 chord tone",
    ]  # fmt: skip


def test_a_step_between_two_chord_tones_passes() -> None:
    """C D E over C."""
    assert line("C", 60, 62, 64)[1] == "9 passing"


def test_a_half_step_to_a_chord_tone_approaches() -> None:
    """A leap to D sharp, then E."""
    assert line("C", 67, 63, 64)[1] == "#9 approach"


def test_a_note_and_back_is_a_neighbour() -> None:
    """G A flat G."""
    assert line("C", 67, 68, 67)[1] == "b13 neighbour"


def test_a_long_note_of_the_scale_is_a_tension() -> None:
    """A held ninth is heard for itself, steps or not."""
    assert line("C", 60, 62, 64, lengths=(1, 4, 1))[1] == "9 tension"


def test_a_note_of_no_scale_is_outside() -> None:
    """A held D flat over C in C major."""
    assert line("C", 64, 61, 64)[1] == "b9 outside"


def test_the_chord_under_the_next_note_counts() -> None:
    """B leads to C when the chord under C is C, and G sharp to A when it is A minor."""
    g, am = parse_symbol("G7"), parse_symbol("Am")
    judged = judge([LickTone(62, 1, g), LickTone(68, 1, g), LickTone(69, 1, am)], KEY)
    assert judged[1].role == "approach" and judged[2].role == "chord tone"


def test_two_notes_close_in_on_a_third() -> None:
    """From above and below, and two half steps in a row: the first approaches too."""
    assert line("C", 67, 65, 63, 64)[1:] == ["11 passing", "#9 approach", "3 chord tone"]
    assert line("C", 72, 65, 63, 64)[1:3] == ["11 approach", "#9 approach"]
    assert line("Cm7", 67, 73, 74, 75)[1:3] == ["#1 approach", "9 passing"]


def test_a_note_may_come_before_its_chord() -> None:
    """C over G seven, struck again when C comes."""
    g, c = parse_symbol("G7"), parse_symbol("C")
    judged = judge([LickTone(62, 1, g), LickTone(60, 1, g), LickTone(60, 1, c)], KEY)
    assert [one.role for one in judged] == ["chord tone", "anticipation", "chord tone"]


def test_a_note_may_stay_after_its_chord() -> None:
    """C stays over G seven and steps down to B."""
    g, c = parse_symbol("G7"), parse_symbol("C")
    judged = judge([LickTone(72, 1, c), LickTone(72, 1, g), LickTone(71, 1, g)], KEY)
    assert [one.role for one in judged] == ["chord tone", "suspension", "chord tone"]


def test_the_flat_third_of_the_tonic_is_blue() -> None:
    """Held over C major, and over its four; the same size above another tonic is outside."""
    assert line("C", 60, 63, 60, lengths=(1, 3, 1))[1] == "b3 blue note"
    f = parse_symbol("F")
    judged = judge([LickTone(65, 1, f), LickTone(63, 3, f), LickTone(65, 1, f)], KEY)
    assert judged[1].role == "blue note"
    assert judge([LickTone(61, 3, parse_symbol("C"))], KEY)[0].role == "outside"


def test_a_lick_of_one_note() -> None:
    """Has no neighbours to look at."""
    assert line("C", 64) == ["3 chord tone"] and line("C", 62) == ["9 tension"]
    assert judge([], KEY) == ()


def test_a_fixed_spelling_is_kept() -> None:
    """The teacher wrote D sharp."""
    tone = LickTone(63, 1, parse_symbol("C"), parse_note("D#"))
    (judged,) = judge([tone], KEY)
    assert judged.note.name == "D#" and judged.degree.text == "#9"


@pytest.mark.parametrize(
    ("key", "chord", "midi", "letters"),
    [("A", "A7", (57, 60, 61, 64, 67), "A C C# E G"),  # a blue third rises and stays a C
     ("A", "A7", (57, 60, 62, 63, 64), "A C D Eb E"),  # the blues scale going up
     ("A", "A7", (69, 67, 64, 63, 62, 60), "A G E Eb D C"),  # and down
     ("A", "D7", (62, 65, 66, 69), "D F F# A"),
     ("A", "E7", (64, 67, 68, 71), "E G G# B"),  # the flat third of a dominant
     ("A minor", "Am7", (57, 60, 62, 63, 62), "A C D Eb D"),
     ("Bb", "Bb7", (70, 73, 75, 76, 77), "Bb Db Eb E F"),  # a flat fifth that would be an F flat
     ("C", "C", (60, 61, 62, 63, 64, 65, 66, 67, 68, 69), "C C# D D# E F F# G G# A"),
     ("C", "C", (69, 68, 67, 66, 65, 64, 63, 62, 61), "A Ab G Gb F E Eb D Db"),
     ("C", "G7", (67, 66, 65, 64), "G F# F E"),  # a major seventh passing, no flat octave
     ("Eb", "Bb7", (67, 66, 65, 63), "G Gb F Eb"),
     ("Eb", "Eb", (67, 68, 69, 70), "G Ab A Bb"),
     ("F#", "C#7", (71, 72, 73, 77), "B B# C# E#"),  # towards the root
     ("D minor", "A7", (69, 68, 69, 70, 69), "A G# A Bb A")],
)  # fmt: skip
def test_a_lick_is_spelled_as_a_player_would(
    key: str, chord: str, midi: tuple[int, ...], letters: str
) -> None:
    """Blue notes stay flat, approaches rise as sharps and fall as flats; common practice."""
    tones = [LickTone(one, 1, parse_symbol(chord)) for one in midi]
    assert " ".join(one.note.name for one in judge(tones, parse_key(key))) == letters


@pytest.mark.parametrize("midi", [(60, 66), (66, 66, 66, 67), (61,), (70, 71), (66, 65)])
def test_repeated_notes_and_notes_over_no_chord_have_letters(midi: tuple[int, ...]) -> None:
    """A row of one pitch has one letter, over a chord or over none."""
    for chord in (None, parse_symbol("C")):
        letters = lick_letters([Struck(one, chord) for one in midi], KEY)
        assert [note.pc for note in letters] == [one % 12 for one in midi]
        assert len(set(letters)) == len(set(midi))


@pytest.mark.parametrize(
    ("midi", "tonic", "mode"),
    [((62, 64, 65, 67, 69, 71, 72), "D", "D dorian"),
     ((60, 62, 64, 66, 67, 69, 71), "C", "C lydian"),
     ((57, 59, 60, 62, 64, 65, 68), "A", "A harmonic minor"),
     ((60, 62, 64, 67, 69), "C", None), ((60, 62, 64, 65, 67, 69), "C", None)],
)  # fmt: skip
def test_a_mode_is_implied_or_not(midi: tuple[int, ...], tonic: str, mode: str | None) -> None:
    """Five notes, or six that leave the seventh open, imply none."""
    assert implied_mode(midi, parse_note(tonic)) == mode
