"""Functions and scales."""

from __future__ import annotations

import pytest

from gripwright.harmony.facts import facts_of
from gripwright.harmony.function import function_of
from gripwright.harmony.scales_for import SCALES, scales_at_rest, scales_for
from gripwright.theory.pitch import parse_note
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol

# Common practice, no source.
FUNCTIONS = [
    ("C", None, "C major", "tonic"), ("F", None, "C major", "subdominant"),
    ("Dm7", None, "C major", "subdominant"), ("G7", None, "C major", "dominant"),
    ("Bdim", None, "C major", "dominant"), ("Am", None, "C major", "tonic"),
    ("Db7", "C", "C major", "dominant"), ("Bb7", "C", "C major", "dominant"),
    ("Bb", "F", "C major", "subdominant"), ("C/G", "G7", "C major", "dominant"),
    ("A7", "Dm", "C major", "applied dominant"), ("F#dim7", "G", "C major", "applied dominant"),
    ("E7", None, "A minor", "dominant"), ("F#", None, "C major", None),
    ("Eb7", "Dm7", "C major", "applied dominant"), ("D7", "Gmaj7", "B major", "applied dominant"),
    ("Eb7", "F", "C major", None), ("G7", "F", "E phrygian", "tonic"),
    ("F7", "C7", "C major", "subdominant"),
    ("Ab7", "G", "C minor", "subdominant"), ("Eb+", "Ab", "C minor", "dominant"),
    ("Am7b5", "Ab", "C minor", "tonic"),
    ("Ebdim7", "Dm7", "C major", None), ("F#dim7", "C/G", "C major", "subdominant"),
]  # fmt: skip
SCALE_CASES = [
    ("Dm7", None, "C major", ["D dorian"]), ("Fmaj7", None, "C major", ["F lydian"]),
    ("Em9", None, "C major", ["E minor"]),
    ("Cmaj7", None, "C major", ["C major"]), ("Em7", None, "C major", ["E phrygian"]),
    ("Bm7b5", None, "C major", ["B locrian"]), ("Db7", "C", "C major", ["Db lydian dominant"]),
    ("G7alt", "Cm", "C minor", ["G altered"]), ("A", None, "A minor", ["A major"]),
    ("Bdim7", "C", "C major", ["B whole-half diminished"]),
    ("G7", "Cmaj7", "C major", ["G mixolydian", "G half-whole diminished"]),
    ("G7(b9)", "Cm", "C minor", ["G phrygian dominant", "G half-whole diminished", "G altered"]),
    ("G7(#9)", "C", "C major", ["G half-whole diminished", "G altered"]),
    ("G7(#5)", "C", "C major", ["G whole tone", "G altered"]),
    ("G13", "C", "C major", ["G mixolydian"]),
    ("A7", "Dm7", "C major", ["A mixolydian b6"]), ("E7", "Am", "C major", ["E phrygian dominant"]),
    ("D7", "Gmaj7", "B major", ["D mixolydian"]),
    ("E7", "F", "E phrygian", ["E phrygian dominant"]),
    ("Bb7", "Ebm", "C major", ["Bb phrygian dominant"]),
    ("Ab7", "C/G", "C major", ["Ab lydian dominant"]), ("Bb7", "C", "C major",
     ["Bb lydian dominant"]), ("F7", "C", "C major", ["F lydian dominant"]),
    ("Dm7b5", "G7", "C minor", ["D locrian", "D locrian natural 2"]),
    ("Dm7b5", "G7", "C major", ["D locrian", "D locrian natural 2"]),
    ("F#m7b5", "F", "C major", ["F# locrian"]),
    ("Cm", "Ab", "C minor", ["C minor", "C melodic minor", "C harmonic minor"]),
    ("Cm(maj7)", "Fm", "C minor", ["C melodic minor", "C harmonic minor"]),
    ("Fm7", "Bb7", "C minor", ["F dorian"]), ("Abmaj7", "G7", "C minor", ["Ab lydian"]),
    ("Fm7", "Bb7", "C major", ["F dorian"]), ("Fm6", "C", "C major", ["F dorian",
     "F melodic minor"]), ("Gm7", "C", "C major", ["G dorian"]),
    ("Eb+", "Ab", "C minor", ["Eb major augmented", "Eb lydian augmented"]),
    ("G+", "C", "C major", ["G whole tone", "G altered"]),
    ("G9sus4", "C", "C major", ["G mixolydian"]),
    ("Db", "G7", "C minor", ["Db lydian"]), ("Gbmaj7", "Amaj7", "C major", ["Gb lydian"]),
    ("Ebm7", "Dm7", "C major", ["Eb dorian"]), ("Dm7", "G7", "D dorian", ["D dorian"]),
    ("C", "D", "C lydian", ["C lydian"]), ("G", "F", "G mixolydian", ["G mixolydian"]),
]  # fmt: skip
# Names of music21's scales (music21.scale) that hold the same notes as ours.
PEERS = {
    "major": "MajorScale", "dorian": "DorianScale", "phrygian": "PhrygianScale",
    "lydian": "LydianScale", "mixolydian": "MixolydianScale", "minor": "MinorScale",
    "locrian": "LocrianScale", "harmonic minor": "HarmonicMinorScale",
    "whole tone": "WholeToneScale",
}  # fmt: skip


@pytest.mark.parametrize(("symbol", "after", "key", "expected"), FUNCTIONS)
def test_functions(symbol: str, after: str | None, key: str, expected: str | None) -> None:
    """What a chord does, seen with the one it goes to; None where nothing fits."""
    goal = facts_of(parse_symbol(after)) if after else None
    assert function_of(facts_of(parse_symbol(symbol)), parse_key(key), goal) == expected


@pytest.mark.parametrize(("symbol", "after", "key", "expected"), SCALE_CASES)
def test_scales(symbol: str, after: str | None, key: str, expected: list[str]) -> None:
    """The nearest scale comes first."""
    goal = facts_of(parse_symbol(after)) if after else None
    found = scales_for(facts_of(parse_symbol(symbol)), parse_key(key), goal)
    assert list(found[: len(expected)]) == expected


@pytest.mark.parametrize("symbol", ["C", "Dm7", "E7", "G7(b9)", "Bdim7", "Caug", "F#m7b5", "Db7",
                                    "Am(maj7)", "Gsus4", "C5", "A7(#9)", "Bb13(#11)"])  # fmt: skip
@pytest.mark.parametrize("key", ["C major", "A minor", "D dorian", "Eb major"])
def test_a_scale_holds_every_note_of_its_chord(symbol: str, key: str) -> None:
    """Whatever is offered can be played over the chord without denying a note of it."""
    chord = facts_of(parse_symbol(symbol))
    for name in scales_for(chord, parse_key(key)):
        tonic, scale = name.split(" ", 1)
        notes = {(parse_note(tonic).pc + degree.pc) % 12 for degree in SCALES[scale]}
        left_out = {(chord.root + 7) % 12} if scale == "altered" else set()
        assert chord.pcs - left_out <= notes


def test_no_scale_with_a_natural_five_on_a_raised_one() -> None:
    """An augmented fifth is no flat thirteenth."""
    for symbol in ("G7(#5)", "Caug", "Cmaj7(#5)"):
        for name in scales_for(facts_of(parse_symbol(symbol)), parse_key("C major")):
            assert 7 not in {degree.pc for degree in SCALES[name.split(" ", 1)[1]]}


@pytest.mark.parametrize("symbol", ["Fm7", "Ebm7", "Ab", "Ebm", "Bdim7", "Bm7b5", "C"])
def test_half_whole_is_for_dominants(symbol: str) -> None:
    """Nobody plays it on another chord, even one whose notes it holds."""
    found = scales_for(facts_of(parse_symbol(symbol)), parse_key("C minor"), None)
    assert found and not any("half-whole" in name for name in found)


@pytest.mark.parametrize(
    ("symbol", "after", "key", "unfit"),
    [("A7", "D", "A mixolydian", "A half-whole diminished"), ("E", "F", "E phrygian", "E major")],
)
def test_what_a_tonic_of_a_mode_does_not_carry(
    symbol: str, after: str, key: str, unfit: str
) -> None:
    """The scale of a dominant that leans, or of the plain major key."""
    chord, goal = (facts_of(parse_symbol(name)) for name in (symbol, after))
    assert unfit not in scales_for(chord, parse_key(key), goal)


def test_a_blues_has_its_own_scales() -> None:
    """The tonic's blues scale over all of it, and on IV mixolydian before lydian dominant."""
    four = scales_at_rest(facts_of(parse_symbol("D7")), parse_key("A major"))
    assert four == ("A blues", "D mixolydian", "D lydian dominant")
    assert scales_at_rest(facts_of(parse_symbol("A7")), parse_key("A")) == (
        "A blues", "A mixolydian",
    )  # fmt: skip


def test_no_scale_is_claimed_for_what_fits_none() -> None:
    """A chord of five half steps in a row."""
    assert scales_for(facts_of(parse_symbol("C7(b9,#9,add9)")), parse_key("C major")) == ()


@pytest.mark.parametrize(("ours", "theirs"), PEERS.items())
def test_scales_are_those_of_music21(ours: str, theirs: str) -> None:
    """Outside truth: music21.scale."""
    scale = pytest.importorskip("music21.scale")
    pitches = getattr(scale, theirs)("C").getPitches("C4", "C5")
    assert {degree.pc for degree in SCALES[ours]} == {pitch.pitchClass for pitch in pitches}
