"""Views of a lesson: what a stage declares that it depends on.

A view returns a lesson in which everything that the stage does not depend on stands at its
default, so that an edit there can neither reach the stage nor change its key.
"""

from __future__ import annotations

from dataclasses import replace

from gripwright.lesson.model import Chord, Finger, Lesson
from gripwright.lesson.unroll import played_events
from gripwright.neck.grip import Grip


def whole(lesson: Lesson) -> Lesson:
    """Return the lesson as it is, prose and all."""
    return lesson


def music(lesson: Lesson) -> Lesson:
    """Return the lesson without its prose."""
    return replace(lesson, prose=())


def lessonless(lesson: Lesson) -> Lesson:
    """Return a lesson of which nothing is left."""
    return Lesson(title="")


def grips(lesson: Lesson) -> Lesson:
    """Return only the chords with grips that are set out or played, and what they stand on.

    Chart, tempo and prose are gone: moving a chord in time redraws no diagram.
    """
    return Lesson(title="", neck=lesson.neck, key=lesson.key, grips=chords_with_grips(lesson))


def chords_with_grips(lesson: Lesson) -> tuple[Chord, ...]:
    """Return the distinct chords that have a grip: those set out, then those first played."""
    played = (played.event.chord for played in played_events(lesson))
    every = (*lesson.grips, *(chord for chord in played if chord is not None))
    return tuple(dict.fromkeys(replace(chord, doubt=None) for chord in every if chord.grip))


def fingers_by_grip(lesson: Lesson) -> dict[Grip, tuple[Finger | None, ...] | None]:
    """Return the fingers first given for each grip, None where none were given."""
    fingers: dict[Grip, tuple[Finger | None, ...] | None] = {}
    for chord in chords_with_grips(lesson):
        if chord.grip is not None and not fingers.get(chord.grip):
            fingers[chord.grip] = chord.fingers
    return fingers
