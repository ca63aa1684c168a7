"""Chapters of a take, or of the cut that it was published in, as WebVTT."""

from __future__ import annotations

from gripwright.pack.stage import Job, Made, TakeFacts
from gripwright.pack.stages.chapters import webvtt
from gripwright.screen.take import take_chapters


def make(job: Job) -> tuple[Made, ...]:
    """Write ``take-chapters.vtt``; raises OSError."""
    take = job.settings["take"]
    assert isinstance(take, TakeFacts)
    text = webvtt(take_chapters(job.lesson, take.events, take.seconds))
    job.place("take-chapters.vtt").write_text(text, encoding="utf-8", newline="\n")
    return (Made("take-chapters.vtt", "chapters", supporter=False),)
