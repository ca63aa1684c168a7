"""Chapters of the video as WebVTT (W3C, WebVTT: chapter cues)."""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.pack.stage import Job, Made
from gripwright.screen.chapters import Chapter, chapters
from gripwright.screen.clock import clock


def make(job: Job) -> tuple[Made, ...]:
    """Write ``chapters.vtt``; raises OSError."""
    text = webvtt(chapters(job.lesson, clock(job.lesson)))
    job.place("chapters.vtt").write_text(text, encoding="utf-8", newline="\n")
    return (Made("chapters.vtt", "chapters", supporter=False),)


def webvtt(parts: Sequence[Chapter]) -> str:
    """Return chapters as the text of a WebVTT file."""
    blocks = [
        f"{number}\n{stamp(part.start_s)} --> {stamp(part.end_s)}\n{_plain(part.title)}\n"
        for number, part in enumerate(parts, start=1)
    ]
    return "\n".join(["WEBVTT\n", *blocks])


def stamp(second: float) -> str:
    """Return a WebVTT time.

    >>> stamp(3725.5)
    '01:02:05.500'
    """
    minutes, left = divmod(round(second * 1000), 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{left // 1000:02d}.{left % 1000:03d}"


def _plain(title: str) -> str:
    """Return a title as cue text, in which ``&`` and ``<`` are written as references."""
    return title.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
