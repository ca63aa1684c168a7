"""The harmony of the open lesson: the command's answer, and where in the chart each chord is."""

from __future__ import annotations

from typing import Any

from gripwright.cli.explain import as_dict
from gripwright.harmony.changes import Change, check_any, named
from gripwright.harmony.explain import explain
from gripwright.lesson.arranged import chords_of
from gripwright.lesson.model import Lesson


def harmony_of(lesson: Lesson) -> dict[str, Any]:
    """Return the explanation of a lesson's chart, with part, bar and event of each chord.

    Raises SearchError for a chord that is neither a symbol nor a grip, InputError where there
    is nothing to explain.
    """
    written = chords_of(lesson)
    asked = tuple(Change(one.asked.symbol, one.asked.grip, one.asked.length_s) for one in written)
    check_any(asked)
    changes = named(asked, key=lesson.key, neck=lesson.neck)
    told = explain(
        [change.symbol for change in changes],
        [change.length for change in changes],
        lesson.key,
        grips=[change.grip if change.symbol else None for change in changes],
        neck=lesson.neck,
    )
    parts = [part.name for part in lesson.parts]
    places = [[parts.index(p.part), p.bar, p.event] for p in (one.place for one in written)]
    return {**as_dict(told), "places": places}
