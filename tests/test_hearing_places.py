"""Places: each string's own tuning tells on which strings a chord was held."""

from __future__ import annotations

import numpy as np
import pytest

from gripwright.hearing.bands import LOW_MIDI
from gripwright.hearing.handed import Held, likely_grips
from gripwright.hearing.listener import PITCHES
from gripwright.hearing.places import note_deviations, weigh_places
from gripwright.hearing.segments import group_strokes
from gripwright.hearing.strokes import listen
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK
from hearing_takes import strummed

STRINGS = np.array([4.0, -3.0, 2.0, -4.0, 3.0, -2.0])
TOLD = ("x32010", "320003", "133211", "x24432", "xx0232", "022100")


def _candidates(text: str) -> tuple[Held, ...]:
    odds = np.full(PITCHES, -6.0)
    odds[[s.midi - LOW_MIDI for s in soundings(parse_grip(text), STANDARD_NECK)]] = 6.0
    return likely_grips(odds, STANDARD_NECK)


def _deviations(text: str, strings: np.ndarray) -> np.ndarray:
    row = np.full(PITCHES, np.nan)
    for sound in soundings(parse_grip(text), STANDARD_NECK):
        row[sound.midi - LOW_MIDI] = strings[sound.index]
    return row


@pytest.mark.parametrize("played", ["x-9-10-9-9-x", "xx4554"])
def test_the_strings_tell_two_places_apart(played: str) -> None:
    """The same four pitches on the middle strings or the top ones, other chords heard before."""
    rows = [_deviations(text, STRINGS) for text in (*TOLD, played)]
    strung = weigh_places(
        np.array(rows), [_candidates(text) for text in (*TOLD, played)], STANDARD_NECK
    )
    assert strung.candidates[-1][0].grip == parse_grip(played)
    assert np.abs(strung.strings_cents - STRINGS).max() < 1.5


def test_strings_in_tune_change_nothing() -> None:
    """Where every note is at pitch the hand alone decides, as it did before."""
    candidates = [_candidates(text) for text in (*TOLD, "xx4554")]
    rows = [_deviations(text, np.zeros(6)) for text in (*TOLD, "xx4554")]
    strung = weigh_places(np.array(rows), candidates, STANDARD_NECK)
    before = [held[0].grip for held in candidates]
    assert [held[0].grip for held in strung.candidates] == before


def test_no_chords_and_chords_without_a_grip() -> None:
    """Nothing to weigh, and a chord that no string makes: both come back as they were."""
    assert weigh_places(np.empty((0, PITCHES)), [], STANDARD_NECK).candidates == ()
    blank = np.full((1, PITCHES), np.nan)
    strung = weigh_places(blank, [()], STANDARD_NECK)
    assert strung.candidates == ((),)
    assert np.isnan(strung.strings_cents).all()


def test_notes_of_a_strum_are_measured_at_pitch() -> None:
    """Our own strings: every note whose partials stand clear, to two cents."""
    heard = strummed("x32010")
    stroked = listen(heard)
    deviations = note_deviations(heard.samples, stroked, group_strokes(stroked))
    seen = deviations[np.isfinite(deviations)]
    assert len(seen) >= 3
    assert np.abs(seen + stroked.tuning_cents).max() < 2.0
