"""The timing beside a lesson: versions, corrections by hand, whole writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from gripwright.errors import InputError
from gripwright.lesson.timing_file import (
    TimedEvent,
    Timing,
    kept,
    read_timing,
    timing_path,
    with_correction,
    write_timing,
)


def timing(sha256: str = "a", late_s: float = 0.0) -> Timing:
    """Return three events of a second each."""
    events = tuple(
        TimedEvent(
            index=n, part="A", visit=1, pass_=1, bar=1, beat=n + 1.0, chord="C",
            start_s=n + late_s, full_s=n + 0.03 + late_s, end_s=n + 1 + late_s, confidence=0.8,
        )
        for n in range(3)
    )  # fmt: skip
    return Timing(1, "take.wav", sha256, 4.0, 0.0, 60.0, events)


def test_it_lies_beside_the_lesson() -> None:
    """By its name."""
    assert timing_path(Path("a/song.md")) == Path("a/song.timing.json")


def test_round_trip(tmp_path: Path) -> None:
    """What is written is read, and no other file is left."""
    path = tmp_path / "song.timing.json"
    write_timing(path, timing())
    assert read_timing(path) == timing()
    assert list(tmp_path.iterdir()) == [path]


def test_the_event_before_ends_where_a_moved_one_starts() -> None:
    """And the moved one is marked as set by hand."""
    moved = with_correction(timing(), 1, 1.2)
    assert moved.events[1].start_s == moved.events[0].end_s == 1.2
    assert (moved.events[1].by, moved.events[1].confidence) == ("hand", 1.0)


@pytest.mark.parametrize("start_s", [-0.1, 0.0, 2.0, 5.0])
def test_order_cannot_be_broken(start_s: float) -> None:
    """An event stays between its neighbours."""
    with pytest.raises(InputError, match="lies between"):
        with_correction(timing(), 1, start_s)


def test_an_event_that_is_not_there_is_named() -> None:
    """With how many there are."""
    with pytest.raises(InputError, match="no event 7; the take has 3"):
        with_correction(timing(), 7, 1.0)


def test_corrections_survive_a_new_sync_of_the_same_take() -> None:
    """By their written place, not by their number."""
    old = with_correction(timing(), 1, 1.2)
    assert kept(old, timing(late_s=0.05)).events[1].start_s == 1.2
    assert kept(old, timing("b", 0.05)).events[1].start_s == 1.05


def test_a_correction_that_no_longer_fits_is_left() -> None:
    """The new sync moved everything far away."""
    old = with_correction(timing(), 1, 1.2)
    assert kept(old, timing(late_s=30.0)).events[1].by == "sync"


def test_a_broken_file_is_named(tmp_path: Path) -> None:
    """With what is wrong in it."""
    path = tmp_path / "song.timing.json"
    path.write_text('{"version": 1}')
    with pytest.raises(InputError, match=r"song\.timing\.json is no timing file"):
        read_timing(path)


def test_a_newer_version_is_refused(tmp_path: Path) -> None:
    """Rather than misread."""
    path = tmp_path / "song.timing.json"
    write_timing(path, Timing(9, "t", "a", 1.0, 0.0, 60.0, ()))
    with pytest.raises(InputError, match="has version 9"):
        read_timing(path)
