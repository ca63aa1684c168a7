"""Chord names in running text. How names are said: common practice, no source."""

import pytest

from gripwright.theory.spoken import names_in


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("E half-diminished", ["Em7(b5)"]), ("A7 flat nine", ["A7(b9)"]),
        ("C suspended four", ["Csus4"]), ("A flat major seven", ["Abmaj7"]),
        ("F sharp minor seven flat five", ["F#m7(b5)"]), ("G augmented", ["Gaug"]),
        ("B-flat nine sharp eleven", ["Bb9(#11)"]), ("C six nine", ["C6/9"]),
        ("D seven sus four", ["D7sus4"]), ("E flat minor six over G flat", ["Ebm6/Gb"]),
        ("B diminished seventh", ["Bdim7"]), ("B flat thirteen", ["Bb13"]),
        ("Dm11, F7(#9); A♭13(♯11).", ["Dm11", "F7(#9)", "Ab13(#11)"]),
        ("C°7 Cø EΔ C+", ["Cdim7", "Cm7(b5)", "Emaj7", "Caug"]), ("(Am7b5).", ["Am7(b5)"]),
        ("from Gm7/F to A minor nine", ["Gm7/F", "Am9"]),
    ],
)  # fmt: skip
def test_names_are_read_in_symbols_and_in_words(text: str, names: list[str]) -> None:
    """Each as the symbol that it stands for."""
    assert [said.symbol.text for said in names_in(text)] == names


@pytest.mark.parametrize(
    "text",
    [
        "A minor point",
        "the key of D minor",
        "E4 and G3",
        "A nine bar phrase",
        "A two bar loop",
        "Am I right?",
        "a diminished crowd",
        "G sharp",
        "D/F#",
        "Bars 7 and 9",
        "AC7X",
        "CAGED7",
    ],
)
def test_what_may_be_a_note_a_key_or_english_is_no_name(text: str) -> None:
    """Better to miss one than to take a word for a chord."""
    assert names_in(text) == ()


def test_a_name_is_found_where_it_stands() -> None:
    """The span is that of its words."""
    text = "Then E flat minor seven, once."
    (said,) = names_in(text)
    assert text[said.start : said.end] == "E flat minor seven"
