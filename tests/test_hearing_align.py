"""The alignment against a slow, obvious oracle, and its band against none."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.hearing.align import BROKEN, GAP, MISSED, Score, align, lateness


def score_of_path(
    fit: np.ndarray, times: np.ndarray, score: Score, quarter: float, path: list[tuple[int, int]]
) -> float:
    """Return what a path in order, without jumps, earns: (chord, stroke) pairs to the end."""
    total = 0.0
    for place, (chord, stroke) in enumerate(path):
        last = place + 1 == len(path)
        end = len(fit) if last else path[place + 1][1]
        total += fit[stroke:end, chord].sum()
        length = score.lengths[chord]
        if last:
            whole = chord + 1 == len(score.lengths)
            spent = (times[end] - times[stroke]) / quarter
            ring = lateness(np.log(np.minimum(spent / length, 1.0) + 1e-9), 0.3) - GAP
            total += max(ring, -BROKEN) if whole else -BROKEN
            continue
        if path[place + 1][0] == chord + 2:
            length = length + score.lengths[chord + 1]
            total -= MISSED
        total += lateness(np.log((times[end] - times[stroke]) / quarter / length), 0.2)
    return float(total)


def test_a_clear_take_is_followed() -> None:
    """Three chords on strokes 1, 3 and 4; stroke 0 is a stranger, stroke 2 a second strum."""
    fit = np.full((5, 3), -6.0)
    fit[1, 0] = fit[2, 0] = fit[3, 1] = fit[4, 2] = 4.0
    times = np.array([0.0, 1.0, 1.5, 2.0, 3.0, 4.0])
    path = align(fit, times, Score(np.ones(3), np.zeros(3, int)), np.ones(6))
    assert path.chords == (0, 1, 2)
    assert path.strokes == (1, 3, 4)


def test_a_missing_stroke_is_put_between() -> None:
    """The second of three chords has no stroke of its own."""
    fit = np.full((2, 3), -6.0)
    fit[0, 0] = fit[1, 2] = 9.0
    times = np.array([0.0, 2.0, 3.0])
    path = align(fit, times, Score(np.ones(3), np.zeros(3, int)), np.ones(3))
    assert path.chords == (0, 1, 2)
    assert path.strokes == (0, -1, 1)


def test_a_run_left_out_is_jumped_over() -> None:
    """Runs of three chords; the middle one was not played."""
    order = [0, 1, 2, 6, 7, 8]
    fit = np.full((6, 9), -8.0)
    fit[np.arange(6), order] = 6.0
    times = np.arange(7.0)
    path = align(fit, times, Score(np.ones(9), np.repeat([0, 1, 2], 3)), np.ones(7))
    assert list(path.chords) == order


def test_a_run_played_again_is_followed_back() -> None:
    """The first run comes by twice although it is written once."""
    order = [0, 1, 2, 0, 1, 2, 3, 4, 5]
    fit = np.full((9, 6), -8.0)
    fit[np.arange(9), order] = 6.0
    path = align(fit, np.arange(10.0), Score(np.ones(6), np.repeat([0, 1], 3)), np.ones(10))
    assert list(path.chords) == order


def test_a_stranger_take_has_no_path() -> None:
    """Nothing fits, so nothing is claimed."""
    path = align(
        np.full((6, 3), -6.0), np.arange(7.0), Score(np.ones(3), np.zeros(3, int)), np.ones(7)
    )
    assert path.chords == ()


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_no_path_in_order_earns_more(seed: int) -> None:
    """Against all paths that begin with the first chord, tried one by one."""
    rng = np.random.default_rng(seed)
    fit = rng.normal(1.0, 4.0, (5, 3))
    times = np.concatenate([[0.0], np.cumsum(rng.uniform(0.5, 1.5, 5))])
    score = Score(rng.choice([0.5, 1.0, 2.0], 3), np.zeros(3, int))
    best = 0.0

    def grow(path: list[tuple[int, int]]) -> None:
        nonlocal best
        best = max(best, score_of_path(fit, times, score, 1.0, path))
        chord, stroke = path[-1]
        for step in (1, 2):
            for later in range(stroke + 1, 5):
                if chord + step < 3:
                    grow([*path, (chord + step, later)])

    for stroke in range(5):
        grow([(0, stroke)])
    found = align(fit, times, score, np.ones(6), width=0.2, band=None)
    assert found.score >= best - 1e-9


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_the_band_gives_what_the_whole_gives(seed: int) -> None:
    """On takes whose chords hold at most a few strokes each."""
    rng = np.random.default_rng(seed)
    order = np.repeat(np.arange(12), rng.integers(1, 4, 12))
    fit = rng.normal(-5, 2, (len(order), 12))
    fit[np.arange(len(order)), order] += 10
    times = np.arange(len(order) + 1) * 0.5
    score = Score(np.bincount(order) / 2, np.repeat([0, 1, 2], 4))
    whole = align(fit, times, score, np.ones(len(times)), band=None)
    banded = align(fit, times, score, np.ones(len(times)), band=12)
    assert banded.score == pytest.approx(whole.score)
    assert banded.chords == whole.chords
    assert banded.strokes == whole.strokes


@pytest.mark.parametrize("band", [None, 7])
def test_chords_of_one_kind_share_a_column(band: int | None) -> None:
    """The path is that of rewards written out chord by chord, band or none."""
    rng = np.random.default_rng(5)
    for _ in range(20):
        strokes, chords = int(rng.integers(2, 60)), int(rng.integers(1, 25))
        kinds = rng.integers(0, 4, chords)
        fit, entry = rng.normal(-1.0, 3.0, (strokes, 4)), rng.normal(0.0, 1.0, (strokes, 4))
        times = np.cumsum(rng.uniform(0.1, 1.0, strokes + 1))
        score = Score(rng.choice([0.5, 1.0, 2.0], chords), np.sort(rng.integers(0, 3, chords)))
        quarter = rng.uniform(0.4, 0.7, strokes + 1)
        shared = align(fit, times, score, quarter, band=band, entry=entry, kinds=kinds)
        whole = align(fit[:, kinds], times, score, quarter, band=band, entry=entry[:, kinds])
        assert (shared.chords, shared.strokes) == (whole.chords, whole.strokes)
        assert shared.score == pytest.approx(whole.score)
