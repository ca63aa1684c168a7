"""Explanations as a whole."""

from __future__ import annotations

import pytest

from gripwright.errors import ChangesError, GripError, InputError, SymbolError
from gripwright.harmony.changes import named, read_changes, read_chord, read_chords
from gripwright.harmony.explain import explain
from gripwright.neck.grip import parse_grip
from gripwright.theory.harte_read import parse_harte
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol


def numerals(text: str, key: str | None = None) -> list[str | None]:
    """Return the numerals of changes."""
    symbols = [change.symbol for change in read_changes(text)]
    told = explain(symbols, key=parse_key(key) if key else None)
    return [chord.numeral for chord in told.chords]


def test_a_chord_has_everything() -> None:
    """Key, numeral, function, scales and remarks."""
    told = explain([parse_symbol(word) for word in ["Dm7", "G7", "Cmaj7"]])
    five = told.chords[1]
    assert (five.key.name, five.numeral, five.function) == ("C major", "V7", "dominant")
    assert five.scales[0] == "G mixolydian" and five.remarks[0].kind == "diatonic"
    assert {(start, end) for start, end, _ in told.threads} == {(0, 1), (1, 2)}


def test_what_is_struck_again_is_told_once() -> None:
    """The same chord twice: one numeral each, one set of remarks, threads from the first."""
    symbols = [parse_symbol(word) for word in ["Dm7", "Dm7", "G7", "G7"]]
    told = explain(symbols, key=parse_key("C major"))
    assert [chord.numeral for chord in told.chords] == ["ii7", "ii7", "V7", "V7"]
    assert told.chords[0].remarks and not told.chords[1].remarks
    assert {(start, end) for start, end, _ in told.threads} == {(0, 2)}


def test_silence_has_a_key_and_nothing_else() -> None:
    """None among the chords."""
    told = explain([parse_symbol("C"), None, parse_symbol("G7")])
    rest = told.chords[1]
    assert rest.symbol is None and rest.numeral is None and rest.remarks == ()
    assert next((start, end) for start, end, _ in told.threads) == (0, 2)


def test_a_blues_keeps_its_sevenths() -> None:
    """I7 is the tonic and IV7 the subdominant, not applied chords."""
    assert numerals("A7 | D7 | A7 | A7 | D7 | D7 | A7 | A7 | E7 | D7 | A7 | E7", "A major") == [
        "I7", "IV7", "I7", "I7", "IV7", "IV7", "I7", "I7", "V7", "IV7", "I7", "V7",
    ]  # fmt: skip


def test_a_seventh_on_the_tonic_leads_on_elsewhere() -> None:
    """Where the tonic is a plain triad, C7 to F is applied."""
    assert numerals("C C7 F C", "C major")[1] == "V7/IV"


def test_transposition_changes_no_numeral() -> None:
    """The same song a whole step higher."""
    low = "C A7 | Dm7 Db7 | Cmaj7 Fm | C/G G7 | C"
    high = "D B7 | Em7 Eb7 | Dmaj7 Gm | D/A A7 | D"
    assert numerals(low) == numerals(high)


def test_grips_and_chords_go_together() -> None:
    """As many grips as chords."""
    with pytest.raises(InputError, match="2 chords and 1 grips"):
        explain([parse_symbol("C"), parse_symbol("F")], grips=[parse_grip("x32010")])


def test_bars_share_their_time() -> None:
    """And a stroke lengthens the chord before it."""
    changes = read_changes("Dm7 / G7 / | Cmaj7")
    assert [change.length for change in changes] == [0.5, 0.5, 1.0]


@pytest.mark.parametrize(
    ("word", "symbol"),
    [("Cmaj7", "Cmaj7"), ("C:maj7", "Cmaj7"), ("A:min7/b3", "Am7/C"), ("x35453=C^7", "Cmaj7"),
     ("Bb:(1,5)", "Bb5"), ("D:sus4(b7)", "D7sus4"), ("F#:hdim7", "F#m7(b5)")],
)  # fmt: skip
def test_a_chord_in_any_writing(word: str, symbol: str) -> None:
    """Symbols, Harte labels and named grips."""
    change = read_chord(word)
    assert change.symbol is not None and change.symbol.text == symbol


def test_a_wrong_chord_is_named_by_its_place() -> None:
    """The second of three."""
    with pytest.raises(SymbolError, match="chord 2: 'Hm'") as caught:
        read_changes("C Hm G")
    assert caught.value.at == 1 and caught.value.field == "chords"


def test_all_wrong_chords_are_told_at_once() -> None:
    """Symbols and grips, each with its place and what would be right."""
    with pytest.raises(ChangesError, match=r"chord 2: 'Hm'.*\nchord 4: ") as caught:
        read_changes("C Hm | G xx0xxx / Czz7")
    told = caught.value.as_dict()
    assert [(one["at"], one["code"]) for one in told["problems"]] == [
        (1, "symbol"), (3, "grip"), (4, "symbol"),
    ]  # fmt: skip
    assert all(one["suggestion"] for one in told["problems"])
    assert (told["code"], told["at"], told["field"]) == ("symbol", 1, "chords")


def test_a_song_of_rubbish_is_told_in_short() -> None:
    """Twenty lines for people; the rest as data, up to a thousand."""
    with pytest.raises(ChangesError, match=r"\.\.\. and 5 more") as caught:
        read_chords(["?"] * 25)
    assert len(caught.value.problems) == 25


@pytest.mark.parametrize("word", ["xxxxxx=C", "=C", "x3201=C"])
def test_a_grip_beside_a_name_must_sound(word: str) -> None:
    """Six strings of this tuning, one of them played."""
    with pytest.raises(GripError, match="chord 2: ") as caught:
        read_changes(f"C {word}")
    assert caught.value.at == 1 and caught.value.remedy


def test_changes_do_not_start_with_a_stroke() -> None:
    """There is nothing to strike again."""
    with pytest.raises(InputError, match="start with /") as caught:
        read_changes("/ C")
    assert caught.value.remedy


@pytest.mark.parametrize("label", ["C:foo", "H:maj", "C:maj(", "C:maj/z", "C:maj(b)"])
def test_a_label_that_is_none_is_refused(label: str) -> None:
    """With its place."""
    with pytest.raises(SymbolError, match="not a Harte label") as caught:
        read_chord(label, 3)
    assert caught.value.at == 3


@pytest.mark.parametrize("label", ["C:maj", "D:min7/b7", "Eb:9", "F#:hdim7", "G:7(b9)",
                                   "A:sus4", "B:minmaj7", "Db:maj6", "E:dim7", "C:maj(9)",
                                   "G:min(*5)"])  # fmt: skip
def test_labels_mean_what_mir_eval_says(label: str) -> None:
    """Outside truth: mir_eval.chord.encode gives root, bass, and what lies within an octave."""
    chord = pytest.importorskip("mir_eval.chord")
    root, bitmap, bass = chord.encode(label)
    symbol = parse_harte(label)
    assert symbol is not None and symbol.root.pc == root
    simple = {degree.pc for degree in symbol.degrees if degree.number < 8}
    assert simple == {i for i, on in enumerate(bitmap) if on}
    assert (symbol.bass_note.pc - root) % 12 == bass


def test_grips_are_named_in_the_key_around_them() -> None:
    """C6 at rest in C, A minor seven on its way to D."""
    grip = "x32210"
    home = named(read_changes(f"C | F | G7 | {grip}"))
    away = named(read_changes(f"G | {grip} | D7 | G"))
    assert home[3].symbol is not None and home[3].symbol.root.name in "AC"
    assert away[1].symbol is not None and away[1].symbol.root.name == "A"
