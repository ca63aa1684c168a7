"""Levels: which of several beats a take is counted in."""

from __future__ import annotations

import numpy as np
import pytest

from gripwright.hearing.levels import Pulses, divisions, in_thirds, merit


def _pulses(at: np.ndarray, accents: np.ndarray | None = None) -> Pulses:
    level = np.zeros(len(at)) if accents is None else accents
    return Pulses(at, np.ones(len(at)), level, np.full(len(at), 7.0))


def test_halves_and_thirds_of_a_beat() -> None:
    """Even quavers fall on halves; triplets on thirds."""
    beats = np.arange(0, 10, 0.5)
    assert divisions(beats, np.arange(0, 9.4, 0.25))[0] == pytest.approx(0.5, abs=0.05)
    halves, thirds = divisions(beats, np.arange(0, 9.4, 0.5 / 3))
    assert halves == 0 and thirds == pytest.approx(2 / 3, abs=0.05)
    assert in_thirds(beats, np.arange(0, 9.4, 0.5 / 3)) > 1
    assert in_thirds(beats, np.arange(0, 9.4, 0.25)) == 0


def test_chords_of_four_beats_beat_chords_of_eight() -> None:
    """Strokes three a second, a chord every twelfth: counted so that a chord lasts four beats."""
    at = np.arange(0, 24, 1 / 3)
    changes = at[::12]
    slow = merit(np.arange(0, 23.9, 1.0), _pulses(at), changes)
    assert slow > merit(np.arange(0, 23.9, 4.0), _pulses(at), changes)
    assert slow > merit(at, _pulses(at), changes)


def test_accents_draw_the_beat() -> None:
    """Of two equal pulses half a beat apart, the louder strokes are the beat."""
    at = np.arange(0, 12, 0.3)
    loud = np.where(np.arange(len(at)) % 2, -4.0, 0.0)
    none = np.zeros(0)
    on, off = at[::2], at[1::2]
    assert merit(on, _pulses(at, loud), none) > merit(off, _pulses(at, loud), none)
