"""The overlay video: the grips of the full-speed play-through, with its sound."""

from __future__ import annotations

from gripwright.pack.board import board_of
from gripwright.pack.stage import Job, Made
from gripwright.screen.clock import clock, pulses
from gripwright.screen.cues import cues
from gripwright.screen.layout import WIDE
from gripwright.screen.overlay import write_overlay
from gripwright.screen.shots import FPS, frame_at, shots


def make(job: Job) -> tuple[Made, ...]:
    """Write ``overlay.mp4``; raises InputError or OSError."""
    lesson = job.lesson
    times = clock(lesson)
    total = frame_at(times.total_s)
    shown = shots(cues(lesson, times.tempo_map), pulses(lesson, times), times.end_s, total)
    board, under = board_of(job, WIDE)
    sound = job.given["play-full.flac"]
    write_overlay(job.place("overlay.mp4"), board, shown, sound=sound, under=under)
    return (Made("overlay.mp4", "video", total / FPS),)
