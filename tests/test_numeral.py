"""Numerals: the convention, applied chords, and music21's reading of RomanText figures."""

from __future__ import annotations

import pytest

from gripwright.harmony.applied import applied_to
from gripwright.harmony.facts import facts_of
from gripwright.harmony.numeral import numeral
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol

# The convention of docs/harmony.md, row by row.
TABLE = [
    ("C", "C major", "I"), ("Dm", "C major", "ii"), ("Bdim", "C major", "viio"),
    ("Caug", "C major", "I+"), ("G7", "C major", "V7"), ("Fmaj7", "C major", "IVmaj7"),
    ("Dm7", "C major", "ii7"), ("Bm7b5", "C major", "viiø7"), ("G#dim7", "A minor", "viio7"),
    ("Am(maj7)", "A minor", "imaj7"), ("G+7", "C major", "V+7"),
    ("G7alt", "C major", "V7"),
    ("Ab", "C major", "bVI"), ("Ab", "C minor", "bVI"), ("Eb", "C minor", "bIII"),
    ("Bb", "C minor", "bVII"), ("Gm", "C major", "v"), ("F#m7b5", "C major", "#ivø7"),
    ("C/E", "C major", "I6"), ("C/G", "C major", "I64"), ("G7/B", "C major", "V65"),
    ("G7/D", "C major", "V43"), ("G7/F", "C major", "V42"), ("C/B", "C major", "Imaj42"),
    ("Bdim/D", "C major", "viio6"), ("Bm7b5/D", "C major", "viiø65"),
    ("G7sus4", "C major", "V7sus4"), ("Gsus4", "C major", "Vsus4"), ("Csus2", "C major", "Isus2"),
    ("C6", "C major", "Iadd6"), ("G13", "C major", "V7"), ("G7(b9)", "C major", "V7"),
    ("C5", "C major", "I"), ("A5", "A minor", "i"), ("Db7", "C major", "bII7"),
    ("C#m", "E major", "vi"), ("G#", "F# major", "II"), ("A#m", "F# major", "iii"),
    ("Bbsus2", "C major", "bVIIsus2"), ("F5", "E minor", "bII"), ("G5", "A phrygian", "bvii"),
]  # fmt: skip
APPLIED = [
    ("A7", "Dm", "C major", "V7/ii"), ("A7/C#", "Dm", "C major", "V65/ii"),
    ("D", "G", "C major", "V/V"), ("D", "F", "C major", "II"), ("E7", "Am", "C major", "V7/vi"),
    ("C7", "F", "C major", "V7/IV"), ("C#dim7", "Dm", "C major", "viio7/ii"),
    ("F#m7b5", "G", "C major", "viiø7/V"), ("G7", "C", "A minor", "bVII7"),
    ("A7", "Dm", "A minor", "V7/iv"), ("D", "E", "A minor", "IV"), ("A", "Dm", "A minor", "I"),
    ("E7", "F", "C major", "V7/vi"), ("Dm7", "G7", "C major", "ii7"),
    ("Ebdim7", "Dm", "C major", "biiio7"), ("Cdim7", "C", "C major", "io7"),
    ("Bm7b5", "E7", "G major", "iiiø7"), ("F#m7b5", "B7", "C major", "#ivø7"),
    ("A", "Dm", "C major", "V/ii"), ("A", "F", "C major", "V/ii"), ("A", "G", "C major", "VI"),
    ("A/C#", "Dm", "A minor", "V6/iv"), ("A/C#", "D", "A minor", "I6"),
    ("C#dim", "F#7", "A major", "iiio"), ("F#m7b5", "C", "C major", "#ivø7"),
    ("F#dim7", "Gm", "A minor", "vio7"), ("F#dim/A", "E", "A minor", "vio6"),
    ("F#dim/A", "G", "A minor", "viio6/bVII"),
]  # fmt: skip


@pytest.mark.parametrize(("symbol", "key", "expected"), TABLE)
def test_the_convention(symbol: str, key: str, expected: str) -> None:
    """A chord by itself, in its key."""
    assert numeral(facts_of(parse_symbol(symbol)), parse_key(key)) == expected


@pytest.mark.parametrize(("symbol", "after", "key", "expected"), APPLIED)
def test_applied_chords(symbol: str, after: str, key: str, expected: str) -> None:
    """What a chord leans on depends on where it goes."""
    chord, goal = facts_of(parse_symbol(symbol)), facts_of(parse_symbol(after))
    assert numeral(chord, parse_key(key), goal) == expected


@pytest.mark.parametrize("figure", ["I", "ii", "iii", "IV", "V", "vi", "V7", "ii7", "I6", "IV64",
                                    "V65", "V43", "ii65", "bVI", "bVII", "iv", "V7/V", "V/ii",
                                    "V7/vi", "V65/V", "bII6"])  # fmt: skip
def test_figures_survive_a_journey_through_music21(figure: str) -> None:
    """music21's `RomanNumeral` says which notes a figure has; we name the same figure."""
    roman = pytest.importorskip("music21.roman")
    rn = roman.RomanNumeral(figure, "D")
    root, bass = rn.root().name.replace("-", "b"), rn.bass().name.replace("-", "b")
    minor = rn.third.pitchClass == (rn.root().pitchClass + 3) % 12
    symbol = f"{root}{'m' if minor else ''}{'7' if rn.seventh else ''}"
    symbol += f"/{bass}" if bass != root else ""
    after = None
    if rn.secondaryRomanNumeral:
        goal = rn.secondaryRomanNumeral
        lower = goal.quality == "minor"
        after = facts_of(parse_symbol(f"{goal.root().name}{'m' if lower else ''}"))
    assert numeral(facts_of(parse_symbol(symbol)), parse_key("D major"), after) == figure


def test_a_numeral_does_not_depend_on_spelling_of_the_key() -> None:
    """F sharp and G flat: the same degrees."""
    flat = numeral(facts_of(parse_symbol("Cb7")), parse_key("Gb major"))
    assert flat == numeral(facts_of(parse_symbol("B7")), parse_key("F# major")) == "IV7"


def test_an_enharmonic_root_is_read_by_its_pitch() -> None:
    """A sharp in F major is the fourth degree: whoever wrote the chord had no flats."""
    assert numeral(facts_of(parse_symbol("A#")), parse_key("F major")) == "IV"


def test_no_chord_is_applied_to_the_tonic() -> None:
    """The tonic's own dominant is simply the dominant."""
    key = parse_key("C major")
    for name in ("G7", "Bdim7", "G"):
        goal = facts_of(parse_symbol("C"))
        assert applied_to(facts_of(parse_symbol(name)), key, goal) is None
