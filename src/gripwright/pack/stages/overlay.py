"""The overlay video: the grips of the full-speed play-through, with its sound."""

from __future__ import annotations

from gripwright.draw.look import LIGHT
from gripwright.pack.stage import Job, Made
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.clock import clock, pulses
from gripwright.screen.cues import cues
from gripwright.screen.layout import WIDE
from gripwright.screen.overlay import write_overlay
from gripwright.screen.shots import FPS, frame_at, shots
from gripwright.screen.tiles import Board


def make(job: Job) -> tuple[Made, ...]:
    """Write ``overlay.mp4``; raises OSError."""
    lesson = job.lesson
    times = clock(lesson)
    total = frame_at(times.total_s)
    shown = shots(cues(lesson, times.tempo_map), pulses(lesson, times), times.end_s, total)
    board = Board(
        WIDE, lesson.neck, LIGHT, fingers_by_grip(lesson), lesson.title,
        job.settings["left_handed"],
    )  # fmt: skip
    sound = job.given["play-full.flac"]
    write_overlay(job.place("overlay.mp4"), board, shown, sound=sound)
    return (Made("overlay.mp4", "video", total / FPS),)
