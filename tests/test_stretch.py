"""Stretching and shifting: length, pitch and attacks, by the library and by our own method."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from gripwright.dsp.pieces import PIECE_S, pieces
from gripwright.dsp.stretch import shift_cents, stretch, stretch_blocks
from gripwright.errors import InputError
from signals import cents, peak_hz, sine

RATE = 44_100
ONSETS = np.arange(0.5, 3.5, 0.5)


def plucks(rate: int = RATE) -> Any:
    """Return dying two-note chords that start at `ONSETS`, over 4 s."""
    x = np.zeros(4 * rate)
    for onset in ONSETS:
        begin = round(onset * rate)
        time_s = np.arange(len(x) - begin) / rate
        pair = np.sin(2 * np.pi * 330 * time_s) + np.sin(2 * np.pi * 247 * time_s)
        x[begin:] += 0.3 * pair * np.exp(-time_s * 8)
    return x


def attacks_s(x: Any, places_s: Any, rate: int) -> Any:
    """Return where the level first reaches half of its peak near each place."""
    found = []
    for place in places_s:
        begin = round((place - 0.1) * rate)
        near = np.abs(x[begin : round((place + 0.1) * rate)])
        found.append((begin + int(np.argmax(near > 0.5 * near.max()))) / rate)
    return np.array(found)


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("factor", [0.5, 0.8, 1.0, 1.25, 2.0, 3.3])
@pytest.mark.parametrize("rate", [22_050, 48_000])
def test_length_is_exact_and_pitch_stays(plain: bool, factor: float, rate: int) -> None:
    """To the sample, and within 1 cent for a steady tone."""
    x = sine(rate, 3.0, 330.0)
    out = stretch(np.stack([x, x], 1), rate, factor, plain=plain)
    assert out.shape == (round(len(x) * factor), 2) and out.dtype == np.float32
    middle = out[rate // 4 : -rate // 4, 0]
    assert abs(cents(peak_hz(middle, rate), 330.0)) < 1.0
    assert np.isfinite(out).all()


@pytest.mark.parametrize(("plain", "most_ms"), [(False, 5.0), (True, 5.0)])
@pytest.mark.parametrize("factor", [0.5, 0.8, 1.25, 2.0, 3.3])
def test_attacks_stay_where_they_belong(plain: bool, most_ms: float, factor: float) -> None:
    """The attacks of plucked chords, once stretched, are early or late by little."""
    out = stretch(plucks(), RATE, factor, plain=plain)
    late = attacks_s(out, ONSETS * factor, RATE) - ONSETS * factor
    assert np.abs(late).max() * 1000 < most_ms


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("by", [-700.0, -35.0, 12.0, 100.0])
@pytest.mark.parametrize("hz", [110.0, 987.0])
def test_a_shift_is_exact_to_a_cent(plain: bool, by: float, hz: float) -> None:
    """Pitch moves by what was asked, length not at all."""
    x = sine(RATE, 2.0, hz)
    out = shift_cents(x, RATE, by, plain=plain)
    assert out.shape == x.shape
    assert cents(peak_hz(out[8_000:-8_000], RATE), hz) == pytest.approx(by, abs=1.0)


@pytest.mark.parametrize("plain", [False, True])
def test_stretched_sound_stays_within_full_scale(plain: bool) -> None:
    """Dense loud sound does not come out above 1."""
    chance = np.random.default_rng(5)
    x = np.clip(chance.normal(0, 0.5, RATE), -1, 1)
    assert np.abs(stretch(x, RATE, 1.3, plain=plain)).max() <= 1.0


def test_nothing_is_done_where_nothing_is_asked() -> None:
    """Factor 1 and no cents give the samples back; empty sound stays empty."""
    x = sine(RATE, 0.2).astype(np.float32)
    assert np.array_equal(stretch(x, RATE, 1.0), x)
    assert np.array_equal(shift_cents(x, RATE, 0.0), x)
    assert stretch(np.zeros((0, 2)), RATE, 2.0).shape == (0, 2)


def test_our_own_method_repeats_its_bytes() -> None:
    """Twice the same, and so does the library."""
    for plain in (False, True):
        first, second = (stretch(plucks(), RATE, 1.4, plain=plain) for _ in range(2))
        assert np.array_equal(first, second)


@pytest.mark.parametrize("factor", [0.0, 0.2, 9.0, float("nan")])
def test_a_factor_out_of_range_is_told(factor: float) -> None:
    """In words, with the range."""
    with pytest.raises(InputError, match=r"0\.25 to 4"):
        stretch(plucks(), RATE, factor)
    with pytest.raises(InputError, match="2400 cents"):
        shift_cents(plucks(), RATE, 5000 if factor == factor else factor)


def strummed(seconds: float) -> Any:
    """Return two channels of plucked chords, one every 0.7 s."""
    time_s = np.arange(round(seconds * LOW)) / LOW
    since = time_s % 0.7
    waves = np.sin(2 * np.pi * 196 * time_s) + np.sin(2 * np.pi * 294 * time_s)
    x = 0.3 * waves * np.exp(-since * 5) * np.minimum(1, since * 300)
    return np.stack([x, 0.5 * x], 1).astype(np.float32)


LOW = 8_000


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("factor", [0.8, 100 / 70, 2.0])
def test_a_stream_gives_the_samples_of_the_whole(plain: bool, factor: float) -> None:
    """However it is cut into blocks, over two seams between pieces."""
    x = strummed(2.4 * PIECE_S)
    whole = stretch(x, LOW, factor, plain=plain)
    assert len(whole) == round(len(x) * factor)
    for block in (997, 70_001):
        cut = (x[at : at + block] for at in range(0, len(x), block))
        streamed = np.concatenate([*stretch_blocks(cut, LOW, factor, plain=plain)])
        assert np.array_equal(streamed, whole)


@pytest.mark.parametrize("plain", [False, True])
def test_no_seam_is_heard_between_pieces(plain: bool) -> None:
    """Where pieces meet the level is that of a stretch without seams, within 3 dB in 20 ms."""
    x = strummed(1.5 * PIECE_S)
    joined = stretch(x, LOW, 2.0, plain=plain)[:, 0]
    around = x[round((PIECE_S - 9.8) * LOW) : round((PIECE_S + 9.8) * LOW)]
    alone = stretch(around, LOW, 2.0, plain=plain)[:, 0]
    seam = slice(round(18.9 * LOW), round(23.1 * LOW))
    step = LOW // 50
    want = np.sqrt(np.mean(alone[seam].reshape(-1, step) ** 2, axis=1))
    got = joined[2 * round((PIECE_S - 9.8) * LOW) :][seam]
    level = np.sqrt(np.mean(got.reshape(-1, step) ** 2, axis=1))
    loud = want > 0.05 * want.max()
    assert loud.sum() > 100
    assert np.abs(20 * np.log10(level[loud] / want[loud])).max() < 3.0


def test_twice_as_long_repeats_its_bytes() -> None:
    """At the factor from which the library would leave phases to chance."""
    x = strummed(6.0)
    assert np.array_equal(stretch(x, LOW, 2.0), stretch(x, LOW, 2.0))
    assert np.array_equal(stretch(x, LOW, 4.0), stretch(x, LOW, 4.0))


def test_a_stream_needs_the_memory_of_two_pieces() -> None:
    """No piece that the work sees is longer than two, however long the stream."""
    longest = max(
        len(one.sound)
        for one in pieces((np.zeros((4_000, 1), np.float32) for _ in range(400)), 30_000, 1_500)
    )
    assert longest <= 2 * 31_500
