"""The handout as PDF, on one size of paper."""

from __future__ import annotations

from gripwright.pack.stage import Job, Made
from gripwright.page.handout import Style, handout


def make(job: Job) -> tuple[Made, ...]:
    """Write ``handout-<paper>.pdf``; raises OSError."""
    paper = job.settings["paper"]
    path = f"handout-{paper}.pdf"
    style = Style(left_handed=job.settings["left_handed"])
    score = job.given["score.musicxml"].read_bytes()
    job.place(path).write_bytes(handout(job.lesson, paper=paper, musicxml=score, style=style))
    return (Made(path, "handout"),)
