"""The handout as PDF, on one size of paper."""

from __future__ import annotations

import msgspec

from gripwright.draw.engrave import System
from gripwright.pack.stage import ENGRAVING, Job, Made
from gripwright.page.handout import Style, handout


def make(job: Job) -> tuple[Made, ...]:
    """Write ``handout-<paper>.pdf``; raises OSError."""
    paper = job.settings["paper"]
    path = f"handout-{paper}.pdf"
    style = Style(left_handed=job.settings["left_handed"])
    systems = msgspec.json.decode(job.given[ENGRAVING].read_bytes(), type=tuple[System, ...])
    job.place(path).write_bytes(handout(job.lesson, paper=paper, musicxml=systems, style=style))
    return (Made(path, "handout"),)
