"""Loudness and true peak against the published standards.

ITU-R BS.1770-4: the coefficients of the K filter at 48 kHz (tables 1 and 2) and the reference
of annex 1 (a 997 Hz full-scale sine in one channel reads -3.01 LKFS), both from memory. EBU Tech
3341: test cases 1 to 5, rebuilt from their published description (tones of 1 kHz at stated
levels and lengths, stereo; tolerance 0.1 LU), from memory.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from gripwright.dsp.fir import filtered
from gripwright.dsp.loudness import (
    integrated_lufs,
    k_coefficients,
    k_impulse,
    set_loudness,
    true_peak_dbtp,
)
from signals import sine


def stereo(*parts: tuple[float, float], rate: int = 48_000) -> Any:
    """Return 1 kHz tones, alike on both channels, from (level in dBFS, seconds)."""
    row = [sine(rate, seconds, 1000.0, 10 ** (db / 20)) for db, seconds in parts]
    return np.stack([np.concatenate(row)] * 2, axis=1)


def music(rate: int = 44_100, seconds: float = 6.0, seed: int = 1) -> Any:
    """Return stereo plucks with sharp attacks, far from any wanted loudness."""
    chance = np.random.default_rng(seed)
    out = np.zeros((round(rate * seconds), 2))
    for start in np.arange(0.1, seconds - 1, 0.35):
        time_s = np.arange(rate) / rate
        pluck = chance.standard_normal(rate) * np.exp(-time_s * 9)
        pluck += sine(rate, 1.0, chance.uniform(90, 900)) * np.exp(-time_s * 4)
        begin = round(start * rate)
        out[begin : begin + rate] += 0.05 * pluck[:, None] * chance.uniform(0.5, 1.0, 2)
    return out


def test_the_k_filter_has_the_published_coefficients() -> None:
    """Tables 1 and 2 of BS.1770-4 at 48 kHz, all digits."""
    shelf, high_pass = k_coefficients(48_000)
    published = (1.53512485958697, -2.69169618940638, 1.19839281085285,
                 -1.69065929318241, 0.73248077421585)  # fmt: skip
    assert shelf == pytest.approx(published, abs=1e-13)
    assert high_pass == pytest.approx((1, -2, 1, -1.99004745483398, 0.99007225036621), abs=1e-13)


@pytest.mark.parametrize("rate", [44_100, 48_000, 96_000])
def test_a_full_scale_sine_in_one_channel_reads_three_below(rate: int) -> None:
    """-3.01 LKFS for 997 Hz, by annex 1, at every rate."""
    assert integrated_lufs(sine(rate, 8, 997.0, 1.0), rate) == pytest.approx(-3.01, abs=0.03)


@pytest.mark.parametrize(
    ("parts", "want"),
    [
        (((-23.0, 20.0),), -23.0),
        (((-33.0, 20.0),), -33.0),
        (((-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0)), -23.0),
        (((-72.0, 10.0), (-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0), (-72.0, 10.0)), -23.0),
        (((-26.0, 20.0), (-20.0, 20.1), (-26.0, 20.0)), -23.0),
    ],
)
def test_the_gates_read_the_test_signals_of_ebu_tech_3341(
    parts: tuple[tuple[float, float], ...], want: float
) -> None:
    """Cases 1 to 5, within the 0.1 LU that Tech 3341 allows."""
    assert integrated_lufs(stereo(*parts), 48_000) == pytest.approx(want, abs=0.1)


@pytest.mark.parametrize("rate", [22_050, 44_100, 48_000])
@pytest.mark.parametrize("phase", [0.0, 0.25, 0.5])
def test_the_true_peak_lies_between_the_samples(rate: int, phase: float) -> None:
    """A sine at a quarter of the rate peaks between samples by up to 3 dB (Tech 3341, 15 ff.)."""
    at = np.arange(rate)
    x = 0.5 * np.sin(np.pi / 2 * at + np.pi * phase) * np.hanning(rate)
    assert true_peak_dbtp(x, rate) == pytest.approx(-6.02, abs=0.1)
    if phase == 0.25:
        assert 20 * np.log10(np.abs(x).max()) == pytest.approx(-9.03, abs=0.05)


def test_high_partials_have_their_peaks_too() -> None:
    """A tone at 0.45 of the rate is not lost to the interpolation."""
    rate = 44_100
    x = sine(rate, 1.0, 0.45 * rate, 0.5) * np.hanning(rate)
    assert true_peak_dbtp(x, rate) == pytest.approx(-6.02, abs=0.4)


@pytest.mark.parametrize("lufs", [-23.0, -16.0, -14.0])
@pytest.mark.parametrize("level", [0.02, 1.0, 30.0])
def test_sound_is_set_to_a_loudness_under_a_ceiling(lufs: float, level: float) -> None:
    """Quiet or far too loud, it comes out within 0.1 LU and peaks at most at -1 dBTP."""
    out = set_loudness(level * music(), 44_100, lufs=lufs)
    assert integrated_lufs(out, 44_100) == pytest.approx(lufs, abs=0.1)
    assert true_peak_dbtp(out, 44_100) <= -1.0 and out.dtype == np.float32


def test_the_limiter_leaves_alone_what_is_under_the_ceiling() -> None:
    """Sound with room enough is only scaled: no sample bends."""
    x = stereo((-23.0, 3.0), rate=44_100)
    out = set_loudness(x, 44_100, lufs=-20.0)
    gain = out[1000] / x[1000]
    assert np.abs(out - x * gain).max() < 1e-6


def test_the_limiter_makes_no_click() -> None:
    """A lone peak bends a steady tone without a jump: steps stay those of a loud sine."""
    rate = 44_100
    x = stereo((-20.0, 3.0), rate=rate)
    x[rate] *= 8.0
    out = set_loudness(x, rate, lufs=-16.0)
    before, after = out[:rate, 0], out[rate + 1 :, 0]
    steepest = 2 * np.pi * 1000 / rate * max(np.abs(before).max(), np.abs(after).max())
    assert max(np.abs(np.diff(side)).max() for side in (before, after)) < 1.05 * steepest


def test_loud_beyond_reach_comes_out_at_the_ceiling() -> None:
    """A lone click cannot be at -5 LUFS: it stays under the ceiling and is finite."""
    x = np.zeros((44_100, 2))
    x[20_000] = 0.5
    out = set_loudness(x, 44_100, lufs=-5.0)
    assert np.isfinite(out).all() and true_peak_dbtp(out, 44_100) <= -1.0


@pytest.mark.parametrize("seconds", [0.0, 0.2, 2.0])
def test_silence_and_very_short_sound_are_returned(seconds: float) -> None:
    """No loudness can be measured, so nothing is changed."""
    x = np.zeros((round(44_100 * seconds), 2))
    assert integrated_lufs(x, 44_100) == float("-inf") == true_peak_dbtp(x, 44_100)
    assert np.array_equal(set_loudness(x, 44_100), x)


def test_the_long_convolution_equals_the_plain_one() -> None:
    """Overlap and add over block borders, against numpy's direct convolution."""
    chance = np.random.default_rng(2)
    x, taps = chance.standard_normal((150_000, 2)), chance.standard_normal(301)
    out = filtered(x, taps)
    for channel in (0, 1):
        plain = np.convolve(x[:, channel], taps)[: len(x)]
        assert np.abs(out[:, channel] - plain).max() < 1e-9


def test_the_k_impulse_has_died_away() -> None:
    """What is cut off lies 120 dB down."""
    response = k_impulse(48_000)
    assert np.abs(response[-480:]).max() < 1e-6 * np.abs(response).max()
