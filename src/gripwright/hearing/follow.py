"""Follow a lesson through a take: the whole way from two files to events on a clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from gripwright.hearing.chart import Chart, chart_of
from gripwright.hearing.check import Doubted, doubted
from gripwright.hearing.cut import Piece, find_pieces
from gripwright.hearing.sound import Heard, file_sha256, read_take
from gripwright.hearing.sync import Synced, sync
from gripwright.lesson.model import Lesson
from gripwright.lesson.perform import grip_of
from gripwright.lesson.text import read_lesson
from gripwright.lesson.timing_file import (
    VERSION,
    TimedEvent,
    Timing,
    kept,
    read_timing,
    timing_path,
    write_timing,
)
from gripwright.neck.grip import Grip
from gripwright.timing import TempoMap


@dataclass(frozen=True, slots=True)
class Followed:
    """A lesson laid on a take.

    ``timing`` holds the events in the order of playing, corrections by hand included;
    ``pieces`` are where the take lies in a cut, where one was given.
    """

    lesson: Lesson
    chart: Chart
    synced: Synced
    timing: Timing
    doubts: tuple[Doubted, ...]
    warnings: tuple[str, ...]
    pieces: tuple[Piece, ...]

    @property
    def tempo_map(self) -> TempoMap:
        """Return the road from quarters, in the order as played, to seconds of the take."""
        return self.synced.tempo_map()

    @property
    def cues(self) -> tuple[tuple[float, float, Grip | None], ...]:
        """Return (start_s, end_s, grip) of each event, None for a rest or an unknown grip."""
        grips = {chord.name: chord.grip for chord in self.lesson.grips if chord.grip}
        return tuple(
            (event.start_s, event.end_s, grip_of(self.chart.events[event.index].event.chord, grips))
            for event in self.timing.events
        )


def follow(
    lesson: Path, take: Path, *, keep: bool = False, cut: Path | None = None,
    told: Callable[[float], None] = lambda share: None,
) -> Followed:  # fmt: skip
    """Read a lesson and a take and lay one on the other.

    Corrections by hand in the lesson's timing file hold where they are of this very take;
    ``keep`` writes that file. ``told`` hears which share is done, 0 to 1. Raises LessonError,
    MediaError, or InputError where the two do not match; then nothing is written.
    """
    parsed = read_lesson(lesson)
    assert parsed.lesson is not None
    heard = read_take(take)
    beside = timing_path(lesson)
    old = read_timing(beside) if beside.exists() else None
    pieces = find_pieces(heard.samples, read_take(cut).samples) if cut else ()
    followed = follow_heard(
        parsed.lesson, heard, name=take.name, sha256=file_sha256(take), old=old, pieces=pieces,
        told=told,
    )  # fmt: skip
    if keep:
        write_timing(beside, followed.timing)
    return followed


def follow_heard(
    lesson: Lesson, heard: Heard, *, name: str = "take", sha256: str = "",
    old: Timing | None = None, pieces: tuple[Piece, ...] = (),
    told: Callable[[float], None] = lambda share: None,
) -> Followed:  # fmt: skip
    """Lay a lesson on a take that has been read already."""
    chart = chart_of(lesson)
    synced, stroked = sync(lesson, heard, told=told)
    doubts = doubted(chart, stroked, synced.events)
    timing = kept(old, _timing(chart, synced, heard, name, sha256))
    return Followed(lesson, chart, synced, timing, doubts, heard.warnings, pieces)


def _timing(chart: Chart, synced: Synced, heard: Heard, name: str, sha256: str) -> Timing:
    rows = []
    for event in synced.events:
        played = chart.events[event.index]
        chord = played.event.chord
        rows.append(
            TimedEvent(
                index=event.index,
                part=played.where.part,
                visit=played.where.visit,
                pass_=played.where.pass_,
                bar=played.where.bar_index + 1,
                beat=round(float(played.beat), 4),
                chord=chord.name if chord else "rest",
                start_s=round(event.start_s, 4),
                full_s=round(event.full_s, 4),
                end_s=round(event.end_s, 4),
                confidence=round(event.confidence, 3),
            )
        )
    return Timing(
        VERSION, name, sha256, round(heard.duration_s, 4), round(synced.tuning_cents, 2),
        round(synced.tempo_bpm, 3), tuple(rows),
    )  # fmt: skip
