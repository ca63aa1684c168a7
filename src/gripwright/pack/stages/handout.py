"""The handout as PDF, on one size of paper."""

from __future__ import annotations

from gripwright.pack.stage import Job, Made
from gripwright.page.handout import handout


def make(job: Job) -> tuple[Made, ...]:
    """Write ``handout-<paper>.pdf``; raises OSError."""
    paper = job.settings["paper"]
    path = f"handout-{paper}.pdf"
    data = handout(job.lesson, paper=paper, left_handed=job.settings["left_handed"])
    job.place(path).write_bytes(data)
    return (Made(path, "handout"),)
