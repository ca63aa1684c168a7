"""Chapters of a rendering: one for each time a part comes by."""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.lesson.model import Lesson
from gripwright.lesson.unroll import PlayedBar, played_bars
from gripwright.screen.clock import Clock


@dataclass(frozen=True, slots=True)
class Chapter:
    """A stretch of a rendering; the first starts at 0, with the count-in."""

    title: str
    start_s: float
    end_s: float


def chapters(lesson: Lesson, times: Clock) -> tuple[Chapter, ...]:
    """Return the chapters in order, without gaps; a part that returns is numbered."""
    firsts: dict[tuple[str, int], PlayedBar] = {}
    for where in played_bars(lesson):
        firsts.setdefault((where.part, where.visit), where)
    often = {part for part, visit in firsts if visit > 1}
    starts = [times.tempo_map.seconds(where.start) for where in firsts.values()]
    ends = [*starts[1:], times.total_s]
    return tuple(
        Chapter(f"{part} {visit}" if part in often else part, 0.0 if place == 0 else start, end)
        for place, ((part, visit), start, end) in enumerate(zip(firsts, starts, ends, strict=True))
    )
