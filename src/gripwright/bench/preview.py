"""The handout as it would be printed now, for the page beside the proof."""

from __future__ import annotations

import os

from gripwright.bench.desk import Desk
from gripwright.formats.musicxml import write_musicxml
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.resolve import with_grips
from gripwright.page.handout import handout


def handout_preview(desk: Desk, path: str) -> bytes:
    """Return the handout of a lesson as PDF; raises LessonError when there is no lesson."""
    lesson = with_grips(desk.lesson(path), Cache(default_folder(os.environ)))
    return handout(lesson, musicxml=write_musicxml(lesson))
