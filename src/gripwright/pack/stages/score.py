"""The score as MusicXML."""

from __future__ import annotations

from gripwright.formats.musicxml import write_musicxml
from gripwright.pack.stage import Job, Made


def make(job: Job) -> tuple[Made, ...]:
    """Write ``score.musicxml``; raises OSError."""
    job.place("score.musicxml").write_bytes(write_musicxml(job.lesson))
    return (Made("score.musicxml", "score"),)
