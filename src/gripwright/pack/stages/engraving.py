"""The score engraved, for the handouts of every size: other prose leaves it as it is."""

from __future__ import annotations

import msgspec

from gripwright.pack.stage import ENGRAVING, Job, Made
from gripwright.page.handout import engraved


def make(job: Job) -> tuple[Made, ...]:
    """Write the systems as JSON; raises OSError."""
    systems = engraved(job.given["score.musicxml"].read_bytes())
    job.place(ENGRAVING).write_bytes(msgspec.json.encode(systems))
    return (Made(ENGRAVING, "engraving", inside=True),)
