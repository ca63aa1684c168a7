"""The take's sound as AAC, encoded once for all videos that have it."""

from __future__ import annotations

from gripwright.pack.stage import TAKE, TAKE_SOUND, Job, Made
from gripwright.screen.soundtrack import write_aac


def make(job: Job) -> tuple[Made, ...]:
    """Write the track, for other stages only; raises MediaError or OSError."""
    write_aac(job.place(TAKE_SOUND), job.given[TAKE])
    return (Made(TAKE_SOUND, "audio", inside=True),)
