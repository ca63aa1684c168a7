"""Harte labels (Harte, Sandler, Abdallah, Gómez, ISMIR 2005), written and read."""

from __future__ import annotations

import mir_eval
import pytest

from gripwright.errors import SymbolError
from gripwright.theory.harte import harte_label
from gripwright.theory.harte_read import parse_harte
from gripwright.theory.interval import degrees
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.quality import BASES, Quality
from gripwright.theory.symbol import ChordSymbol

LABELS = {
    ("C", "1 3 5", None): "C:maj", ("Eb", "1 b3 5 b7", None): "Eb:min7",
    ("F#", "1 b3 b5 b7", None): "F#:hdim7", ("C", "1 3 b7 9", None): "C:9(*5)",
    ("C", "1 3 5 b7 b9", "E"): "C:7(b9)/3", ("A", "1 5", None): "A:maj(*3)",
    ("C", "1 4 5 b7", None): "C:sus4(b7)", ("C", "1 3 5 b7 9 13", None): "C:9(13)",
}  # fmt: skip


@pytest.mark.parametrize(("chord", "label"), LABELS.items())
def test_labels_say_what_sounds(chord: tuple[str, str, str | None], label: str) -> None:
    """Shorthand where its third and seventh sound; additions and omissions in parentheses."""
    root, content, bass = chord
    if content == "1 5":
        label = "A:(1,5)"
    written = harte_label(parse_note(root), degrees(content), parse_note(bass) if bass else None)
    assert written == label
    mir_eval.chord.encode(written)


@pytest.mark.parametrize("base", BASES)
def test_a_label_reads_back_as_the_symbol(base: str) -> None:
    """What the writer wrote, the reader reads."""
    symbol = ChordSymbol(Note(2, -1), Quality(base), Note(6, -1))
    assert parse_harte(symbol.harte) == symbol


@pytest.mark.parametrize(
    ("label", "text"),
    [("C", "C"), ("C:(3,5)", "C"), ("D:min/b3", "Dm/F"), ("Bb:7(#9)", "Bb7(#9)"), ("A:5", "A5"),
     ("G:13", "G13"), ("C:maj(9)", "Cadd9"), ("F#:min7/5", "F#m7/C#")],
)  # fmt: skip
def test_labels_of_corpora_are_read(label: str, text: str) -> None:
    """Degrees alone imply the root; no shorthand is a major triad."""
    assert parse_harte(label).text == text


@pytest.mark.parametrize("label", ["N", "X", "", "C:foo", "H:maj", "C:maj(", "C:maj/0", "C:7(7)"])
def test_what_is_no_label_of_a_chord_is_refused(label: str) -> None:
    """N and X are no chords either."""
    with pytest.raises(SymbolError):
        parse_harte(label)
