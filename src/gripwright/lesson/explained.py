"""Explain the chart of a lesson, in the keys that the teacher states or in those found."""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.harmony.changes import Change, check_any
from gripwright.harmony.explain import Explanation, explain_changes
from gripwright.lesson.arranged import Written, chords_of
from gripwright.lesson.model import Lesson
from gripwright.theory.scale import Key


def explain_lesson(
    lesson: Lesson, key: Key | None = None
) -> tuple[tuple[Written, ...], Explanation]:
    """Return the chords of a lesson in the order of writing, and their explanation.

    A ``key`` holds throughout, whatever the lesson says. Raises SearchError for a chord that is
    neither a symbol nor a grip, InputError where there is nothing to explain.
    """
    written = chords_of(lesson)
    changes = [Change(one.asked.symbol, one.asked.grip, one.asked.length_s) for one in written]
    check_any(changes)
    return written, explain_changes(changes, key or stated_keys(lesson, written), lesson.neck)


def stated_keys(lesson: Lesson, written: Sequence[Written]) -> tuple[Key | None, ...]:
    """Return the key stated for each chord: its part's, else the lesson's, None for neither."""
    of_part = {part.name: part.key or lesson.key for part in lesson.parts}
    return tuple(of_part[one.place.part] for one in written)
