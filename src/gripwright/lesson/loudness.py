"""How hard a stroke is: by the metre, by accent and ghost. Common practice, no source."""

from __future__ import annotations

from gripwright.beats import Quarters
from gripwright.lesson.swing import upbeat
from gripwright.lesson.unroll import PlayedBar

BASE, DOWNBEAT, ON_BEAT, ACCENT, GHOST = 0.62, 0.10, 0.05, 0.22, 0.45


def velocity(
    where: PlayedBar, offset: Quarters, *, accent: bool = False, ghost: bool = False
) -> float:
    """Return the velocity, 0 to 1, of something at an offset in a bar."""
    place = offset + upbeat(where)
    level = BASE
    if place == 0:
        level += DOWNBEAT
    elif place in where.bar.metre.beat_starts:
        level += ON_BEAT
    if accent:
        level += ACCENT
    return round(min(1.0, level * (GHOST if ghost else 1.0)), 4)
