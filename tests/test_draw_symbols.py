"""Chord symbols as type."""

import pytest

from gripwright.draw.symbols import (
    RAISED_SIZE,
    chord_runs,
    fit,
    plain_runs,
    runs_text,
    runs_width,
    symbol_svg,
)
from gripwright.lesson.model import Chord
from gripwright.theory.symbol import Run, parse_symbol


@pytest.mark.parametrize(
    ("name", "symbol", "printed"),
    [("Am9", "Am9", "Am9"), ("Am9'", "Am9", "Am9′"), ("Bb7(b9)", "Bb7(b9)", "B♭7(♭9)"),
     ("5x555x=Am7", "Am7", "Am7"), ("cloud", "Cmaj9", "Cmaj9 cloud"),
     ("cloud'", "Cmaj9", "Cmaj9 cloud′"),
     ("cloud", None, "cloud"), ("x32010", None, "x32010")],
)  # fmt: skip
def test_what_is_printed_for_a_chord(name: str, symbol: str | None, printed: str) -> None:
    """Its symbol, a prime for a second voicing, a name of its own after what it stands for."""
    chord = Chord(name, parse_symbol(symbol) if symbol else None)
    assert runs_text(chord_runs(chord)) == printed


def test_only_note_letters_get_accidentals_in_a_name() -> None:
    """``Bb shape`` has a flat, ``bebop`` has none."""
    assert runs_text(plain_runs("Bb shape")) == "B♭ shape"
    assert runs_text(plain_runs("bebop F#")) == "bebop F♯"


def test_raised_runs_are_narrower() -> None:
    """The width of a run scales with its size."""
    plain, raised = Run("maj7"), Run("maj7", raised=True)
    assert runs_width([raised], 10) == pytest.approx(RAISED_SIZE * runs_width([plain], 10))


def test_fit_shrinks_only_what_is_too_wide() -> None:
    """A symbol keeps its size where it has room and exactly fills less."""
    runs = parse_symbol("Abmaj7(#11)").runs
    assert fit(runs, 10, 1000) == 10
    assert runs_width(runs, fit(runs, 10, 20)) == pytest.approx(20)


def test_a_slash_bass_comes_down_again() -> None:
    """After the raised quality the bass stands on the line: the shifts add up to nothing."""
    svg = symbol_svg(parse_symbol("C7(b9)/Bb"), 0, 0, 10, colour="#000000")
    shifts = [float(part.split('"')[1]) for part in svg.split(" dy=")[1:] for part in ["=" + part]]
    assert len(shifts) == 2 and sum(shifts) == pytest.approx(0)
