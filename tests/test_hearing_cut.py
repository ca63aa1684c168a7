"""Pieces of a take in an edited cut."""

from __future__ import annotations

import numpy as np
import pytest

from gripwright.hearing.bands import RATE
from gripwright.hearing.cut import find_pieces
from hearing_takes import SONG, play


def talk(seconds: float) -> np.ndarray:
    """Return hiss in syllables."""
    rng = np.random.default_rng(8)
    x = rng.standard_normal(int(seconds * RATE)) * 0.1
    return (x * (np.sin(np.arange(len(x)) / RATE * 25) > 0)).astype(np.float32)


def test_pieces_are_found_to_the_frame() -> None:
    """Two pieces between talk, one at another level: edges within 40 ms, place within 2 ms."""
    take = play(SONG).heard.samples
    first, second = take[2 * RATE : 6 * RATE], 0.5 * take[9 * RATE : 14 * RATE]
    cut = np.concatenate([talk(3.0), first, talk(2.0), second, talk(1.0)])
    pieces = find_pieces(take, cut)
    want = [(3.0, 7.0, 2.0), (9.0, 14.0, 9.0)]
    assert len(pieces) == 2
    for piece, (start, end, source) in zip(pieces, want, strict=True):
        assert piece.cut_start_s == pytest.approx(start, abs=0.04)
        assert piece.cut_end_s == pytest.approx(end, abs=0.04)
        shift = piece.take_start_s - piece.cut_start_s
        assert shift == pytest.approx(source - start, abs=0.002)


def test_a_cut_of_something_else_holds_no_piece() -> None:
    """Talk alone."""
    assert find_pieces(play(SONG).heard.samples, talk(6.0)) == ()


def test_the_whole_take_is_one_piece() -> None:
    """Uncut, from start to end."""
    take = play(SONG).heard.samples
    (piece,) = find_pieces(take, take)
    assert piece.cut_start_s == pytest.approx(0.0, abs=0.1)
    assert piece.cut_end_s == pytest.approx(len(take) / RATE, abs=0.6)


def test_a_passage_that_comes_twice_is_found_where_it_was_cut_from() -> None:
    """The song comes again with the same levels; its waveform, turned over, tells which it is."""
    take = play(SONG).heard.samples
    again = np.concatenate([take, -take])
    for source in (7.4, len(take) / RATE + 7.4):
        piece = again[round(source * RATE) : round((source + 1.6) * RATE)]
        (found,) = find_pieces(again, np.concatenate([talk(2.0), piece, talk(1.0)]))
        assert found.take_start_s - found.cut_start_s == pytest.approx(source - 2.0, abs=0.002)
