"""Bands, tuning, strokes and what each stroke holds, against signals whose truth is known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.dsp.sound_file import write_wav
from gripwright.errors import MediaError
from gripwright.hearing.bands import BANDS, LOW_MIDI, RATE, band_matrix, hertz, powers
from gripwright.hearing.listener import _convolve, features, pitch_logits, weights
from gripwright.hearing.onsets import find_strokes
from gripwright.hearing.sound import judged, read_take
from gripwright.hearing.strokes import listen, plain_logits
from gripwright.hearing.tuning import peak_cents, tuning_cents
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK
from hearing_takes import SONG, play, strummed


def tone(midi: float, seconds: float = 1.5) -> np.ndarray:
    """Return a tone of five falling partials."""
    time = np.arange(int(seconds * RATE)) / RATE
    hz = 440 * 2 ** ((midi - 69) / 12)
    return sum(0.5**k * np.sin(2 * np.pi * hz * k * time) for k in range(1, 6)).astype(np.float32)


def test_hertz_is_equal_temperament() -> None:
    """A4 is 440 Hz, E2 82.41 Hz (ISO 16 and twelve equal steps)."""
    assert float(hertz(69)) == 440.0
    assert float(hertz(40)) == pytest.approx(82.407, abs=0.001)


def test_each_band_weighs_its_bins_to_one() -> None:
    """So that white noise gives the same in every band."""
    assert np.allclose(band_matrix().sum(axis=0), 1.0, atol=1e-4)
    assert band_matrix().shape == (8193, BANDS)


@pytest.mark.parametrize("midi", [45, 57, 69, 88])
def test_a_sine_shows_in_its_own_band(midi: int) -> None:
    """The loudest band is the middle one of its semitone."""
    time = np.arange(RATE) / RATE
    x = np.sin(2 * np.pi * float(hertz(midi)) * time).astype(np.float32)
    bands = powers(x, np.array([2000]), 8192)[0] @ band_matrix()
    assert int(bands.argmax()) == 3 * (midi - LOW_MIDI) + 1


def test_windows_past_the_ends_meet_silence() -> None:
    """A look before the first sample has no power."""
    x = np.ones(RATE, np.float32)
    assert float(powers(x, np.array([-9000]), 4096).max()) == 0.0


@settings(max_examples=12, deadline=None)
@given(st.floats(-45, 45), st.integers(45, 64))
def test_tuning_comes_out_within_2_cents(cents: float, midi: int) -> None:
    """Whatever the note and the reference pitch."""
    found = tuning_cents(tone(midi + cents / 100))
    assert abs((found - cents + 50) % 100 - 50) < 2.0


def test_one_string_out_of_tune_is_measured() -> None:
    """Nine cents sharp of a take that is 20 sharp."""
    power = powers(tone(50 + 0.29), np.array([1000]), 16384)[0]
    found = peak_cents(power, 50, 20.0)
    assert found is not None and found[0] == pytest.approx(9.0, abs=1.0)


def test_an_absent_note_has_no_cents() -> None:
    """No peak within 35 cents, no number; nor above half the rate."""
    power = powers(tone(50), np.array([1000]), 16384)[0]
    assert peak_cents(power, 53, 0.0) is None
    assert peak_cents(power, 120, 0.0, partial=3) is None


def test_strokes_are_found_to_10_ms() -> None:
    """Every stroke of a strummed song, by its first string, and few that are none."""
    made = play(SONG)
    strokes = find_strokes(made.heard.samples)
    off = np.array([np.abs(strokes.first_s - at).min() for at in made.starts_s])
    assert np.median(off) < 0.010
    assert off.max() < 0.040
    assert len(strokes) <= 1.3 * len(made.starts_s)
    assert (strokes.last_s >= strokes.first_s).all()


def test_silence_has_no_strokes() -> None:
    """And nothing breaks."""
    assert len(find_strokes(np.zeros(RATE, np.float32))) == 0


@pytest.mark.parametrize("grip", ["x32010", "x02210", "xx7978", "x57675"])
def test_the_model_hears_a_strummed_grip(grip: str) -> None:
    """Exactly its pitches, from strings that are in none of its training data."""
    stroked = listen(strummed(grip))
    want = {s.midi - LOW_MIDI for s in soundings(parse_grip(grip), STANDARD_NECK)}
    assert set(np.flatnonzero(stroked.sounding[0] > 0)) == want


def test_the_plain_fit_hears_a_single_note() -> None:
    """The fallback's loudest pitch is the one that sounds."""
    x = np.concatenate([np.zeros(RATE // 2, np.float32), tone(52)])
    seen = features(x, np.array([RATE // 2]), np.array([len(x)]))
    assert int(plain_logits(seen)[0].argmax()) == 52 - LOW_MIDI


def test_features_do_not_depend_on_level() -> None:
    """A take recorded at a tenth of the level looks the same."""
    x = np.concatenate([np.zeros(RATE // 2, np.float32), tone(52)])
    at, end = np.array([RATE // 2]), np.array([len(x)])
    assert np.allclose(features(x, at, end), features(0.1 * x, at, end), atol=1e-3)


def test_the_model_is_small_and_there() -> None:
    """Under two million numbers."""
    model = weights()
    assert model is not None
    assert sum(value.size for value in model.values()) < 2_000_000


def test_batches_do_not_change_what_is_heard() -> None:
    """Forty strokes at once give what each gives alone."""
    seen = np.random.default_rng(1).random((40, 5, BANDS)).astype(np.float32)
    alone = np.concatenate([pitch_logits(seen[at : at + 1]) for at in range(40)])
    assert np.allclose(pitch_logits(seen), alone, atol=1e-3)


def test_silence_is_refused_in_words() -> None:
    """With how silent it is."""
    with pytest.raises(MediaError, match="is silent"):
        judged(np.zeros(RATE, np.float32), "a.wav")


def test_a_blink_is_refused() -> None:
    """A tenth of a second holds nothing to hear."""
    with pytest.raises(MediaError, match="too short"):
        judged(np.ones(RATE // 10, np.float32), "a.wav")


def test_an_offset_is_removed_and_said() -> None:
    """A tone on a pedestal of 0.3."""
    heard = judged(tone(50) + np.float32(0.3), "a.wav")
    assert abs(float(heard.samples.mean())) < 1e-3
    assert "zero line" in heard.warnings[0]


def test_clipping_is_said(tmp_path: Path) -> None:
    """The take is heard all the same; the same tone within full scale draws no word."""
    write_wav(tmp_path / "loud.wav", np.clip(4 * tone(50), -1, 1), RATE)
    write_wav(tmp_path / "good.wav", 0.3 * tone(50), RATE)
    assert "clipped" in read_take(tmp_path / "loud.wav").warnings[0]
    assert read_take(tmp_path / "good.wav").warnings == ()


def test_channels_that_cancel_are_heard(tmp_path: Path) -> None:
    """A stereo take whose sides are each other's opposite is not silence."""
    x = 0.3 * tone(50)
    write_wav(tmp_path / "a.wav", np.stack([x, -x], axis=1), 44_100)
    heard = read_take(tmp_path / "a.wav")
    assert float(np.std(heard.samples)) > 0.1
    assert heard.duration_s == pytest.approx(len(x) / 44_100, abs=0.01)


def test_convolution_matches_the_sum_written_out() -> None:
    """Three taps, five apart, against the definition."""
    rng = np.random.default_rng(4)
    x = rng.standard_normal((2, 3, 20)).astype(np.float32)
    weight = rng.standard_normal((4, 3, 3)).astype(np.float32)
    bias = rng.standard_normal(4).astype(np.float32)
    padded = np.pad(x, ((0, 0), (0, 0), (5, 5)))
    want = sum(np.einsum("oi,bin->bon", weight[:, :, t], padded[:, :, 5 * t : 5 * t + 20])
               for t in range(3)) + bias[:, None]  # fmt: skip
    assert np.allclose(_convolve(x, weight, bias, 5), want, atol=1e-4)
