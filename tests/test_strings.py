"""Plucked strings: pitch, time, decay and manner of what is rendered.

Pitches are checked against equal temperament at A4 = 440 Hz (ISO 16), by the place of a peak in
a long spectrum; times by where the level rises.
"""

from __future__ import annotations

from fractions import Fraction as F
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from built import AM, C, bar, event, lesson, lick
from gripwright.dsp.click import add_clicks
from gripwright.dsp.pluck import tone
from gripwright.dsp.strings import render
from gripwright.lesson.perform import perform
from gripwright.lesson.sound import Sound
from gripwright.neck.tuning import STANDARD_NECK, make_neck, parse_tuning
from gripwright.timing import TempoMap
from signals import cents, midi_hz, peak_hz

SECONDS = TempoMap(((F(0), 0.0), (F(1), 1.0)))
RATE = 44_100


def sound(at: object, length: object, string: int, fret: int, **more: Any) -> Sound:
    """Return a sound of a standard neck; a quarter is a second."""
    midi = more.pop("midi", STANDARD_NECK.midi(6 - string, fret))
    velocity = more.pop("velocity", 0.7)
    return Sound(F(str(at)), F(str(length)), string, fret, midi, velocity, **more)


def heard(*sounds: Sound, rate: int = RATE) -> Any:
    """Return the mono sum of a rendering on a standard neck."""
    return render(sounds, STANDARD_NECK, SECONDS, rate=rate).sum(axis=1)


def level_db(x: Any, start_s: float, end_s: float, rate: int = RATE) -> float:
    """Return the level of a stretch in decibels."""
    part = x[round(start_s * rate) : round(end_s * rate)]
    return 10 * float(np.log10(np.mean(part**2) + 1e-15))


def centre_hz(x: Any, rate: int = RATE) -> float:
    """Return the centre of gravity of a spectrum: how bright a sound is."""
    power = np.abs(np.fft.rfft(x)) ** 2
    return float(np.sum(np.fft.rfftfreq(len(x), 1 / rate) * power) / np.sum(power))


@pytest.mark.parametrize("rate", [22_050, 44_100, 48_000])
@pytest.mark.parametrize("midi", [28, 35, 40, 47, 55, 64, 71, 76, 83, 88])
def test_every_pitch_is_in_tune_to_a_cent(midi: int, rate: int) -> None:
    """From a low fifth string of a bass to fret 24 of the first string."""
    x = tone(midi, midi < 57, "open", rate).bright[: 2 * rate]
    hz = midi_hz(midi)
    assert abs(cents(peak_hz(x, rate, near=hz), hz)) < 1.0


@pytest.mark.parametrize("rate", [22_050, 44_100])
@pytest.mark.parametrize("midi", [0, 12, 100, 110, 119, 135])
def test_pitches_off_any_guitar_still_sound_or_are_silent(midi: int, rate: int) -> None:
    """A tuning may be odd: nothing breaks, and what lies below half the rate is in tune."""
    x = tone(midi, False, "open", rate).bright
    hz = midi_hz(midi)
    assert np.isfinite(x).all() and x.any() == (hz < rate / 2)
    if 100 < hz < rate / 2:
        assert abs(cents(peak_hz(x[:rate], rate, near=hz), hz)) < 1.0


@pytest.mark.parametrize("midi", [40, 52, 64])
def test_partials_are_harmonic_and_die_faster_the_higher(midi: int) -> None:
    """The third partial is in tune; late in the tone the high ones have gone first."""
    x = tone(midi, True, "open", RATE).bright
    hz = midi_hz(midi)
    assert abs(cents(peak_hz(x[:RATE], RATE, near=3 * hz), 3 * hz)) < 2.0
    assert centre_hz(x[2 * RATE : 3 * RATE]) < 0.7 * centre_hz(x[: RATE // 2])


def test_low_strings_ring_longer_than_high_ones_and_all_die() -> None:
    """Level after two seconds falls with pitch; the end of a tone is silent."""
    left = []
    for midi in (40, 64, 88):
        x = tone(midi, midi < 57, "open", RATE).bright
        left.append(level_db(x, 1.9, 2.1) - level_db(x, 0.0, 0.2))
        assert np.abs(x[-10:]).max() < 1e-3 and np.isfinite(x).all()
    assert left == sorted(left, reverse=True) and left[0] < -10


@pytest.mark.parametrize(("manner", "most_s"), [("muted", 0.6), ("dead", 0.15)])
def test_muted_and_dead_notes_are_short(manner: Any, most_s: float) -> None:
    """They fall by 30 dB within their time; an open note has not."""
    for kind, falls in ((manner, True), ("open", False)):
        x = np.concatenate([tone(45, True, kind, RATE).bright, np.zeros(RATE)])
        drop = level_db(x, 0.0, 0.05) - level_db(x, most_s, most_s + 0.05)
        assert (drop > 30) == falls


def test_a_grip_has_the_pitches_of_its_strings() -> None:
    """Each string of a C chord is a peak of the spectrum, in tune."""
    x = render(perform(lesson(bar(event(0, 4)))), STANDARD_NECK, SECONDS).sum(axis=1)
    for midi in (48, 52, 55, 60, 64):
        hz = midi_hz(midi)
        assert abs(cents(peak_hz(x[RATE : 3 * RATE], RATE, near=hz), hz)) < 3.0


def test_the_tuning_and_the_capo_are_heard() -> None:
    """A dropped sixth string and a capo at 3 move what is struck, not the frets."""
    dropped = make_neck(parse_tuning("D2 A2 D3 G3 B3 E4"), 3)
    song = lesson(bar(event(0, 4, None), notes=(lick(0, 3, 6, 2),)), neck=dropped)
    x = render(perform(song), dropped, SECONDS).sum(axis=1)
    assert abs(cents(peak_hz(x[: 2 * RATE], RATE, near=midi_hz(43)), midi_hz(43))) < 1.0


@settings(max_examples=20, deadline=None)
@given(st.fractions(0, 2, max_denominator=48), st.integers(1, 6), st.integers(0, 20))
def test_an_attack_is_where_it_is_asked_for(at: F, string: int, fret: int) -> None:
    """The sound begins at its sample, and nothing is heard before."""
    x = heard(sound(at, 1, string, fret))
    begin = round(float(at) * RATE)
    assert not x[:begin].any()
    assert np.abs(x[begin : begin + 44]).max() > 0.1 * np.abs(x).max()


def test_a_strum_is_spread_by_its_delays() -> None:
    """Strings enter one after the other, by the seconds of their delay."""
    sounds = perform(lesson(bar(event(0, 4))), strum_s=0.03)
    begins = [int(np.argmax(heard(one) != 0)) for one in sounds]
    assert begins == [round(k * 0.03 * RATE) for k in range(5)]
    assert len(heard(*sounds)) == round((4 + 2.0) * RATE)


def test_a_string_struck_again_cuts_its_old_note() -> None:
    """After the second stroke the first pitch is gone; on another string it goes on."""
    same = heard(sound(0, 1, 2, 1), sound(1, 2, 2, 8))
    other = heard(sound(0, 3, 2, 1), sound(1, 2, 1, 3))
    first_hz = midi_hz(60)
    for x, stays in ((same, False), (other, True)):
        part = np.abs(np.fft.rfft(x[round(1.1 * RATE) :][:RATE] * np.hanning(RATE)))
        around = part[round(first_hz) - 2 : round(first_hz) + 3].max()
        assert (around > 0.01 * part.max()) == stays


def test_a_note_ends_when_its_length_ends() -> None:
    """A lifted string is silent a tenth of a second later, without a click."""
    x = heard(sound(0, 1, 3, 2), sound(0, 2, 1, 0))
    alone = x - heard(sound(0, 2, 1, 0))
    assert np.abs(alone[round(1.1 * RATE) :]).max() < 1e-6
    assert np.abs(np.diff(alone[RATE - 5 :])).max() < 2 * np.abs(np.diff(alone[:RATE])).max()


def test_velocity_is_loudness_and_brightness() -> None:
    """Harder is louder and brighter, softer neither."""
    soft, hard = (heard(sound(0, 1, 4, 2, velocity=v))[: RATE // 2] for v in (0.3, 1.0))
    assert level_db(hard, 0, 0.4) > level_db(soft, 0, 0.4) + 6
    assert centre_hz(hard) > 1.15 * centre_hz(soft)


@pytest.mark.parametrize(
    ("second", "before", "after"),
    [
        (dict(attack="slide"), 64, 67),
        (dict(attack="hammer"), 64, 67),
        (dict(attack="pull", midi=62, fret=3), 64, 62),
    ],
)
def test_connected_notes_reach_their_pitch(second: dict[str, Any], before: int, after: int) -> None:
    """Before the change the first pitch sounds, after it the second."""
    fret = second.pop("fret", 8)
    x = heard(sound(0, 1, 2, 5), sound(1, 2, 2, fret, **second))
    early, late = x[round(0.2 * RATE) : round(0.85 * RATE)], x[round(1.1 * RATE) : 2 * RATE]
    assert abs(cents(peak_hz(early, RATE, near=midi_hz(before)), midi_hz(before))) < 3
    assert abs(cents(peak_hz(late, RATE, near=midi_hz(after)), midi_hz(after))) < 3


def test_a_slide_does_not_strike_again() -> None:
    """The level goes on falling through a slide and jumps at a hammer-on."""
    jumps = {}
    for attack in ("slide", "hammer"):
        x = heard(sound(0, 1, 2, 5), sound(1, 2, 2, 8, attack=attack))
        jumps[attack] = level_db(x, 1.0, 1.05) - level_db(x, 0.9, 0.95)
    assert jumps["slide"] < 1.0 < jumps["hammer"]


def test_a_bend_rises_and_its_release_comes_back() -> None:
    """Two semitones up in the first note, down again in the second."""
    x = heard(
        sound(0, 1, 3, 7, techniques=("bend",), bend_semitones=2),
        sound(1, 2, 3, 7, attack="release", bend_semitones=2),
    )
    top, back = x[round(0.4 * RATE) : round(0.95 * RATE)], x[round(1.4 * RATE) : 2 * RATE]
    assert abs(cents(peak_hz(top, RATE, near=midi_hz(64)), midi_hz(64))) < 3
    assert abs(cents(peak_hz(back, RATE, near=midi_hz(62)), midi_hz(62))) < 3


def test_vibrato_shakes_and_a_plain_note_does_not() -> None:
    """The spectrum around the pitch is wider with vibrato."""
    widths = []
    for how in ((), ("vibrato",)):
        x = heard(sound(0, 3, 2, 5, techniques=how))[RATE // 2 : 2 * RATE]
        power = np.abs(np.fft.rfft(x * np.hanning(len(x)))) ** 2
        hz = np.fft.rfftfreq(len(x), 1 / RATE)
        near = (hz > midi_hz(63)) & (hz < midi_hz(65))
        centre = float(np.sum(hz[near] * power[near]) / np.sum(power[near]))
        spread = np.sum((hz[near] - centre) ** 2 * power[near]) / np.sum(power[near])
        widths.append(float(np.sqrt(spread)))
    assert widths[1] > 2 * widths[0]


def test_low_strings_stand_left_of_high_ones() -> None:
    """Lightly: both sides hear both."""
    for string, side in ((6, 0), (1, 1)):
        x = render([sound(0, 1, string, 0)], STANDARD_NECK, SECONDS)
        levels = [level_db(x[:, k], 0, 1) for k in (0, 1)]
        assert 1 < levels[side] - levels[1 - side] < 9


@pytest.mark.parametrize("rate", [22_050, 48_000])
def test_length_follows_the_tempo_map_at_any_rate(rate: int) -> None:
    """Half the tempo is twice as long, to the sample; the same call gives the same bytes."""
    sounds = perform(lesson(bar(event(0, 2), event(2, 2, AM))))
    slow = TempoMap(((F(0), 0.5), (F(1), 1.5)))
    first, second = (render(sounds, STANDARD_NECK, slow, rate=rate) for _ in range(2))
    assert len(first) == round(6.5 * rate) and first.dtype == np.float32
    assert np.array_equal(first, second) and not first[: rate // 2].any()


def test_nothing_to_play_is_silence() -> None:
    """An empty performance has only its tail; odd necks are rendered too."""
    assert not render((), STANDARD_NECK, SECONDS).any()
    four = make_neck(parse_tuning("G4 C4 E4 A4"))
    song = lesson(bar(event(0, 4, C.__class__("x", None, None))), neck=four)
    assert len(render(perform(song), four, SECONDS)) == round(2.0 * RATE)


def test_clicks_are_placed_and_bars_stand_out() -> None:
    """Each click is where it was asked for; the first of a bar is higher."""
    track = np.zeros((2 * RATE, 2))
    add_clicks(track, [(0.5, True), (1.0, False), (1.99, False)], RATE, 0.5)
    assert not track[: RATE // 2].any() and 0.3 < np.abs(track).max() <= 0.5
    first, other = (track[round(at * RATE) : round((at + 0.05) * RATE), 0] for at in (0.5, 1.0))
    assert peak_hz(first, RATE) > 1.2 * peak_hz(other, RATE)
