"""The overlay that follows a take, with the take's own sound, wide or tall."""

from __future__ import annotations

from pathlib import Path

from gripwright.pack.board import board_of
from gripwright.pack.stage import TAKE_SOUND, Job, Made, TakeFacts
from gripwright.screen.layout import TALL, WIDE
from gripwright.screen.overlay import write_overlay
from gripwright.screen.shots import FPS, frame_at
from gripwright.screen.take import take_shots

PATHS = {"wide": "take-overlay.mp4", "tall": "take-overlay-tall.mp4"}


def make(job: Job) -> tuple[Made, ...]:
    """Write ``take-overlay.mp4`` or ``take-overlay-tall.mp4``; raises InputError or OSError."""
    name = job.settings["layout"]
    return (follow(job, PATHS[name], None, 1.0, tall=name == "tall"),)


def follow(job: Job, path: str, sound: Path | None, factor: float, *, tall: bool = False) -> Made:
    """Write an overlay of the take played ``factor`` times as long, and return what it is.

    Its sound is a file, or the take's own where that is None.
    """
    lesson, take = job.lesson, job.settings["take"]
    assert isinstance(take, TakeFacts)
    total = frame_at(take.seconds * factor)
    events = [event.slowed(factor) for event in take.events]
    board, under = board_of(job, TALL if tall else WIDE)
    shown = take_shots(lesson, events, total)
    track = None if sound else job.given[TAKE_SOUND]
    write_overlay(job.place(path), board, shown, sound=sound, track=track, under=under)
    return Made(path, "video", total / FPS)
