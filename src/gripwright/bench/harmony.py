"""The harmony of the open lesson: the command's answer, and where in the chart each chord is."""

from __future__ import annotations

from typing import Any

from gripwright.cli.explain import as_dict
from gripwright.lesson.explained import explain_lesson
from gripwright.lesson.model import Lesson


def harmony_of(lesson: Lesson) -> dict[str, Any]:
    """Return the explanation of a lesson's chart, with part, bar and event of each chord.

    Raises SearchError for a chord that is neither a symbol nor a grip, InputError where there
    is nothing to explain.
    """
    written, told = explain_lesson(lesson)
    parts = [part.name for part in lesson.parts]
    places = [[parts.index(p.part), p.bar, p.event] for p in (one.place for one in written)]
    return {**as_dict(told), "places": places}
