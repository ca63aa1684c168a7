"""Levels 1 to 5: what a student of each may be asked to hold.

Common practice, no source: first grips with up to three fingers low on the neck and no
barre; small barres in the third step, full ones in the fourth; the fifth is everything. The
efforts are those of `neck.effort` for a medium hand.
"""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.neck.effort import Effort
from gripwright.neck.shapes import Holds


@dataclass(frozen=True, slots=True)
class Level:
    """What a level allows: effort, fingers, strings under one finger, highest lowest fret."""

    effort: float
    fingers: int
    barre_strings: int
    base: int


LEVELS: dict[int, Level] = {
    1: Level(0.40, 3, 1, 3),
    2: Level(0.48, 3, 1, 5),
    3: Level(0.56, 4, 3, 9),
    4: Level(0.80, 4, 8, 12),
    5: Level(1.0, 5, 8, 24),
}


def fits_level(effort: Effort, holds: Holds, base: int, level: int) -> bool:
    """Tell whether a student of a level may be asked for holds whose lowest fret is ``base``.

    >>> from gripwright.neck.grip import Grip
    >>> from gripwright.neck.hand import finger
    >>> f = finger(Grip((1, 3, 3, 2, 1, 1)))
    >>> [n for n in LEVELS if fits_level(f.effort, f.holds, f.base, n)]
    [4, 5]
    """
    row = LEVELS[level]
    return (
        effort.total <= row.effort
        and len(holds) <= row.fingers
        and base <= row.base
        and all(hold.high - hold.low < row.barre_strings for hold in holds)
    )
