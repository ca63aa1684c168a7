"""The overlay that follows a take, with the take's own sound, wide or tall."""

from __future__ import annotations

from pathlib import Path

from gripwright.draw.look import LIGHT
from gripwright.pack.stage import TAKE, Job, Made, TakeFacts
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.layout import TALL, WIDE
from gripwright.screen.overlay import write_overlay
from gripwright.screen.shots import FPS, frame_at
from gripwright.screen.take import take_shots
from gripwright.screen.tiles import Board

PATHS = {"wide": "take-overlay.mp4", "tall": "take-overlay-tall.mp4"}


def make(job: Job) -> tuple[Made, ...]:
    """Write ``take-overlay.mp4`` or ``take-overlay-tall.mp4``; raises OSError."""
    name = job.settings["layout"]
    return (follow(job, PATHS[name], job.given[TAKE], 1.0, tall=name == "tall"),)


def follow(job: Job, path: str, sound: Path, factor: float, *, tall: bool = False) -> Made:
    """Write an overlay of the take played ``factor`` times as long, and return what it is."""
    lesson, take = job.lesson, job.settings["take"]
    assert isinstance(take, TakeFacts)
    total = frame_at(take.seconds * factor)
    events = [event.slowed(factor) for event in take.events]
    board = Board(
        TALL if tall else WIDE, lesson.neck, LIGHT, fingers_by_grip(lesson), lesson.title,
        job.settings["left_handed"],
    )  # fmt: skip
    write_overlay(job.place(path), board, take_shots(lesson, events, total), sound=sound)
    return Made(path, "video", total / FPS)
