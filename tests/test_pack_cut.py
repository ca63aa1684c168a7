"""A published cut in the pack: what follows the take follows where its pieces lie in the cut."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import soxr
from click.testing import CliRunner, Result

from films import even_times, write_film
from gripwright.cli.build import command
from gripwright.dsp.sound_file import write_flac
from gripwright.errors import InputError
from gripwright.hearing.bands import RATE
from gripwright.pack.cache import Cache
from gripwright.pack.take import take_facts
from gripwright.screen.take import TakeEvent, events_in_cut, take_chapters, take_pulses
from hearing_takes import SONG, lesson_of, play
from packing import TEXT
from packing import lesson_of as short_lesson_of

SHORT = TEXT.replace("order: Landing, Open Water, Landing", "order: Landing, Open Water")


@dataclass(frozen=True)
class Piece:
    """A piece as finding it gives it."""

    cut_start_s: float
    cut_end_s: float
    take_start_s: float


def test_events_are_moved_split_and_left_out_as_the_cut_has_them() -> None:
    """Two pieces, the second before the first in the take, one edge inside an event."""
    take = (TakeEvent(0, 1.0, 2.0), TakeEvent(1, 2.0, 3.0), TakeEvent(2, 3.0, 4.0))
    pieces = (Piece(10.0, 11.5, 2.5), Piece(20.0, 20.9, 0.9))
    assert events_in_cut(take, pieces) == (
        TakeEvent(1, 10.0, 10.5, 0.5, 1.0), TakeEvent(2, 10.5, 11.5, 0.0, 1.0),
        TakeEvent(0, pytest.approx(20.1), pytest.approx(20.9), 0.0, pytest.approx(0.8)),
    )  # fmt: skip


def test_less_than_a_frame_of_an_event_is_not_shown() -> None:
    """The last hundredth of a second before a piece's end."""
    take = (TakeEvent(0, 1.0, 2.0), TakeEvent(1, 2.0, 3.0))
    found = events_in_cut(take, [Piece(0.0, 1.01, 1.0)])
    assert [event.index for event in found] == [0]


def test_beats_of_a_split_event_keep_their_seconds() -> None:
    """Of a chord of two beats of which the cut has the second half, the second beat is there."""
    lesson = short_lesson_of(SHORT.replace("| Am7 / E7(#9) / |", "| Am7 _ E7(#9) / |"))
    whole = TakeEvent(0, 4.0, 6.0)
    (half,) = events_in_cut([whole], [Piece(0.0, 1.2, 4.8)])
    assert [pulse.beat.number for pulse in take_pulses(lesson, [whole])] == [1, 2]
    (pulse,) = take_pulses(lesson, [half])
    assert (pulse.beat.number, pulse.start_s) == (2, pytest.approx(0.2))


def test_chapters_are_the_parts_as_the_cut_has_them() -> None:
    """A part that comes by twice is numbered; the first chapter starts at 0, the last ends it."""
    lesson = short_lesson_of(SHORT)
    order = [0, 4, 8, 0, 4]
    known = len(take_pulses(lesson, [TakeEvent(8, 0.0, 1.0)]))
    assert known
    events = [TakeEvent(index, 1.0 + n, 2.0 + n) for n, index in enumerate(order)]
    found = take_chapters(lesson, events, 9.0)
    assert [part.title for part in found] == ["Landing 1", "Open Water", "Landing 2"]
    assert [part.start_s for part in found] == [0.0, 3.0, 4.0]
    assert [part.end_s for part in found] == [3.0, 4.0, 9.0]


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A lesson, a take of it, and a cut: noise, the middle of the take, noise."""
    desk = tmp_path_factory.mktemp("cut")
    (desk / "song.md").write_text(SONG, encoding="utf-8")
    take = play(SONG).heard.samples
    chance = np.random.default_rng(2)
    talk = np.asarray(0.05 * chance.standard_normal(2 * RATE), np.float32)
    middle = take[round(2.0 * RATE) : round(9.5 * RATE)]
    for name, x in (("take.flac", take), ("cut.flac", np.concatenate([talk, middle, talk]))):
        write_flac(desk / name, np.asarray(soxr.resample(x, RATE, 44_100), np.float32), 44_100)
    write_flac(desk / "other.flac", np.tile(talk, 4), RATE)
    return desk


def test_a_cut_moves_the_events_of_its_take(desk: Path) -> None:
    """Each event that the cut holds is where the take has it, less what was cut, within 20 ms."""
    lesson, cache = lesson_of(SONG), Cache(desk / "cache")
    whole = take_facts(lesson, desk / "song.md", desk / "take.flac", cache)
    cut = take_facts(lesson, desk / "song.md", desk / "take.flac", cache, cut=desk / "cut.flac")
    assert cut.seconds == pytest.approx(2.0 + 7.5 + 2.0, abs=0.01)
    assert cut.sha256 != whole.sha256 and cut.film is None
    starts = {event.index: event.start_s for event in whole.events}
    inside = [event for event in cut.events if event.first == 0.0]
    assert len(inside) >= 5
    for event in inside:
        assert event.start_s == pytest.approx(starts[event.index], abs=0.02)
    assert min(event.start_s for event in cut.events) >= 1.9
    assert max(event.end_s for event in cut.events) <= 9.6


def test_a_cut_of_something_else_is_told(desk: Path) -> None:
    """With both names and what to give."""
    lesson, cache = lesson_of(SONG), Cache(desk / "cache")
    with pytest.raises(InputError, match=r"no piece of take\.flac was found in other\.flac"):
        take_facts(lesson, desk / "song.md", desk / "take.flac", cache, cut=desk / "other.flac")


def run(desk: Path, *options: str) -> Result:
    """Run the command; a pack must never come of it."""
    words = [str(desk / "song.md"), "-o", str(desk / "out"), "--json", *options]
    result = CliRunner().invoke(command, words)
    assert result.exit_code == 2 and not (desk / "out").exists()
    return result


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--cut", "cut.flac"], "--cut needs a take"),
        (["--film"], "--film needs a take"),
        (["--corner", "top-left"], "--corner needs a take"),
        (["--plate-size", "0.5"], "--plate-size needs a take"),
        (["--alpha"], "--alpha needs a take"),
        (["--take", "TAKE", "--film"], "take.flac has none"),
        (["--take", "TAKE", "--corner", "top-right"], "take.flac has none"),
        (["--take", "TAKE", "--corner", "topleft"], "'top-left'"),
        (["--take", "TAKE", "--plate-size", "50"], "0.25"),
        (["--background", "nawy"], "neither a colour nor a file"),
        (["--background", "#12"], "is no colour"),
        (["--background", "SONG"], "no png or jpeg"),
        (["--take", "nowhere.mp4"], "nowhere.mp4"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told_and_nothing_is_written(
    desk: Path, options: list[str], said: str
) -> None:
    """Exit code 2, words that name the option or the file, no folder."""
    names = {"TAKE": str(desk / "take.flac"), "SONG": str(desk / "song.md")}
    result = run(desk, *[names.get(word, word) for word in options])
    assert said in result.output


def test_a_film_without_sound_and_one_that_breaks_off_are_told(desk: Path) -> None:
    """Before anything is made, by name."""
    write_film(desk / "mute.mp4", times_s=even_times(30, 2), seconds=2, sounding=False)
    assert "has no sound track" in run(desk, "--take", str(desk / "mute.mp4")).output
    write_film(desk / "half.mp4", times_s=even_times(30, 2), seconds=2)
    half = (desk / "half.mp4").read_bytes()
    (desk / "half.mp4").write_bytes(half[: len(half) // 2])
    assert "cut off" in run(desk, "--take", str(desk / "half.mp4")).output
