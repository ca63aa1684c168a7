"""Chord symbols: every usual writing, one style, and clear errors."""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import mir_eval
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.errors import SymbolError
from gripwright.theory.pitch import Note
from gripwright.theory.quality import BASES, Quality
from gripwright.theory.symbol import ChordSymbol, nearest_symbol, parse_symbol

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import harmony

# Writings that mean one chord: common practice, no source.
SAME = {
    "C": "Cmaj CM Cmajor Cma", "Cm": "C- Cmin Cmi Cminor", "C+": "Caug C(#5)",
    "Cmaj7": "CM7 CΔ CΔ7 Cma7 Cj7 C△7 CMaj7 CMAJ7 C(maj7)", "Cm7": "C-7 Cmin7 Cmi7 C−7",
    "Cm(maj7)": "CmMaj7 C-Δ CmM7 Cm(M7) C-maj7 Cmmaj7 Cm#7 Cm♮7 C-Δ7 Cminmaj7",
    "Cm7(b5)": "Cø Cø7 Cm7b5 C-7b5 Cm7♭5 Cmin7(b5) Chdim7 C-7-5", "Cdim": "C° Co",
    "Cdim7": "C°7 Co7", "Cdim(maj7)": "C°M7 C°Δ C°(maj7) Cdimmaj7",
    "C7sus4": "C7sus Csus7 C7(sus4)", "C9sus4": "C9sus Csus9 C9(sus4)", "Csus4": "Csus C4",
    "Csus2": "C2", "C6/9": "C69 C6(9) C6add9 C(6/9) CM69 C6/9", "Cm6/9": "C-69 Cm69 C-6/9",
    "C7alt": "Calt C7(alt)", "C7(#5)": "C7+ C+7 C7#5 Caug7 C7aug C7+5",
    "C9(#5)": "C+9 C9+ C9#5 Caug9", "C7(#9)": "C7+9 C7#9 C7(+9) C7♯9", "C7(b9)": "C7-9 C7b9 C7♭9",
    "C7(b9,#11)": "C7b9#11 C7(b9#11) C7(♭9,♯11) C7(#11,b9) C7b9(#11)",
    "C7sus4(b9)": "C7b9sus4 C7susb9 C7sus4b9 C7(b9)sus",
    "Csus4(add9)": "Csus2sus4 Csus4sus2 Csus24",
    "Cmaj7(#11)": "CΔ#11 Cmaj7#11 CM7+11", "Cmaj7(#5)": "C+maj7 C+M7 Cmaj7+5", "C5": "C(no3) Cno3",
    "Cm11(b5)": "Cm11b5 Cø11", "Cadd9": "C(add9) Cadd2 C(9)", "Cm(add9)": "Cmadd9 C-add9",
    "C13(#11)": "C13#11 C13(♯11)", "C7(add13)": "C7(13) C7/13 C7add13", "C6": "Cadd6 CM6 Cadd13",
    "C(b5)": "Cmaj(b5)", "C9(no5)": "C9no5 C9(omit5)", "Cdim7(add7)": "C°7(maj7)",
}  # fmt: skip
PAIRS = [(good, writing) for good, writings in SAME.items() for writing in writings.split()]


@pytest.mark.parametrize(("good", "writing"), PAIRS)
def test_usual_writings_mean_one_chord(good: str, writing: str) -> None:
    """Each writing is read as the symbol in our style."""
    assert parse_symbol(writing) == parse_symbol(good)


CHORD_TYPES = [
    (kind, content, sign)
    for kind, (content, signs) in harmony.CHORD_TYPES.items()
    for sign in signs
    if kind not in ("Neapolitan", "Italian", "French", "German", "pedal", "Tristan")
    and sign not in ("power", "dom7dim5", "dimb9", "ob9", "øb9") and "13" not in kind
]  # fmt: skip


def _size(degree: str) -> int:
    """Return music21's writing of a degree in semitones; its 13ths and 11ths stack fully."""
    major = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 2, 11: 5}
    return (major[int(degree.strip("#-"))] + degree.count("#") - degree.count("-")) % 12


@pytest.mark.parametrize(("kind", "content", "sign"), CHORD_TYPES)
def test_music21s_abbreviations_give_its_notes(kind: str, content: str, sign: str) -> None:
    """Source: music21 harmony.CHORD_TYPES; its thirteenths, which stack the 11th, left out."""
    assert parse_symbol(f"C{sign}").pcs == {_size(part) for part in content.split(",")}


symbols = st.builds(
    ChordSymbol,
    st.builds(Note, st.integers(0, 6), st.integers(-1, 1)),
    st.sampled_from([Quality(base) for base in BASES]),
    st.one_of(st.none(), st.builds(Note, st.integers(0, 6), st.integers(-1, 1))),
)


@settings(max_examples=150)
@given(symbols)
def test_text_reads_back(symbol: ChordSymbol) -> None:
    """ASCII and printed text give the symbol back."""
    if symbol.bass == symbol.root:
        return
    assert parse_symbol(symbol.text) == parse_symbol(symbol.pretty) == symbol


@settings(max_examples=100)
@given(st.sampled_from([Quality(base) for base in BASES if base not in ("5", "7alt")]))
def test_mir_eval_hears_the_same_root_triad_seventh_and_bass(quality: Quality) -> None:
    """mir_eval reads the Harte label and finds the same notes below the ninth."""
    symbol = ChordSymbol(Note(1), quality)
    root, bitmap, bass = mir_eval.chord.encode(symbol.harte, reduce_extended_chords=False)
    low = {degree.pc for degree in symbol.degrees if degree.number < 9}
    assert (root, bass) == (2, 0)
    assert low <= {pc for pc in range(12) if bitmap[pc]}


def test_a_symbol_is_set_in_runs() -> None:
    """Root and m at full size, the rest raised, the slash bass last."""
    runs = [(run.text, run.raised) for run in parse_symbol("Bbm7b5/Ab").runs]
    assert runs == [("B♭m", False), ("7(♭5)", True), ("/A♭", False)]


@pytest.mark.parametrize(
    ("wrong", "at", "near"),
    [
        ("Cmajj7", 4, "Cmaj7"), ("cmaj7", 0, "Cmaj7"), ("Cmaj77", 5, "Cmaj7"),
        ("C7(b9", 5, "C7(b9)"), ("Cm7x", 3, "Cm7"), ("Fmaj7#12", 5, "Fmaj7(#11)"),
        ("Csus5", 4, "Csus2"),
    ],
)  # fmt: skip
def test_a_wrong_symbol_gets_its_place_and_the_nearest_right_one(
    wrong: str, at: int, near: str
) -> None:
    """The error names the character and proposes a symbol."""
    with pytest.raises(SymbolError) as caught:
        parse_symbol(wrong)
    assert (caught.value.at, caught.value.remedy) == (at, f"perhaps {near}")


@pytest.mark.parametrize("text", ["", "X", "hello", "C/H", "C7/", "C//E", "7", "N.C.", "😀"])
def test_what_is_no_symbol_is_refused(text: str) -> None:
    """Rubbish is an error with a remedy, never a crash."""
    with pytest.raises(SymbolError) as caught:
        parse_symbol(text)
    assert caught.value.remedy


@settings(max_examples=150)
@given(st.text(alphabet="CDEb#m7+-°øΔ(),/susadjno1359 ", max_size=12))
def test_any_text_is_read_or_refused_in_place(text: str) -> None:
    """A symbol reads back from its own text; an error points into the text."""
    try:
        symbol = parse_symbol(text)
    except SymbolError as error:
        assert isinstance(error.at, int) and 0 <= error.at <= len(text)
    else:
        assert parse_symbol(symbol.text) == symbol


def test_far_off_text_has_no_nearest() -> None:
    """No symbol is proposed where none is near."""
    assert nearest_symbol("Gxqzzt") is None


def test_the_page_on_symbols_is_true() -> None:
    """What docs/symbols.md writes is our style, and each writing beside it is read."""
    page = Path(__file__).parents[1] / "docs" / "symbols.md"
    rows = [line for line in page.read_text(encoding="utf-8").splitlines() if line[:3] == "| `"]
    assert len(rows) > 15
    for row in rows:
        _, written, also, _ = row.split("|")
        for text in re.findall(r"`([^`]+)`", written):
            assert parse_symbol(text).text == text
        for text in re.findall(r"`([^`]+)`", also):
            parse_symbol(text)


def test_the_nearest_symbol_knows_swapped_letters_and_prefers_common_ones() -> None:
    """A slip of the fingers; a tenth is no extension."""
    assert nearest_symbol("Cmja7") == "Cmaj7"
    with pytest.raises(SymbolError, match="character 2"):
        parse_symbol("C10")
