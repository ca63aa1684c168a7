"""The easiest way to hold a grip: the exact optimum of `effort` over `shapes.holdings`.

What does not depend on the place on the neck is worked out once a shape and kept; so is the
easiest way of a shape at a fret. Ways that cannot win any more are not weighed to the end.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from gripwright.neck.effort import (
    OPEN_FULLY,
    Effort,
    Rig,
    Style,
    across_of,
    coordination_of,
    muting_of,
    place_of,
    press_of,
)
from gripwright.neck.shapes import Holds, Shape, holdings


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """A way to hold a shape, with the parts of its effort that no move along the neck changes.

    One object for each way of a shape: ways are compared by identity.
    """

    holds: Holds
    across: float
    coordination: float
    muting: float
    opens: bool = False

    @property
    def fixed(self) -> float:
        """Return the sum of the parts that are known already."""
        return self.across + self.coordination + self.muting


@lru_cache(maxsize=32768)
def ways(shape: Shape, style: Style, thumb: bool = False) -> tuple[Way, ...]:
    """Return the ways to hold a shape, the smallest fixed effort first."""
    found = []
    for holds in holdings(shape, thumb):
        across = across_of(holds, style.build, style.hand)
        muting = 0.0 if style.plucks else muting_of(shape, holds)
        found.append(Way(holds, across, coordination_of(shape, holds), muting, 0 in shape))
    return tuple(sorted(found, key=lambda way: way.fixed))


def weigh(way: Way, base: int, rig: Rig) -> Effort:
    """Return the effort of a way of holding a shape whose 1 is the fret ``base``."""
    press = sum([press_of(hold, base, rig.press) for hold in way.holds])
    stretch = way.across + _spread(way, base, rig.style)
    found = place_of(base, way.opens, rig.stop)
    return Effort(press, stretch, way.coordination + found, way.muting)


def _spread(way: Way, base: int, style: Style) -> float:
    """Return raw stretch along the neck: the square of how far each two fingers are open."""
    total = 0.0
    up = base - 1
    table = style.opening
    for place, one in enumerate(way.holds):
        for other in way.holds[place + 1 :]:
            if one.fret != other.fret:
                opening = table[one.finger][other.finger][one.fret + up][other.fret + up]
                total += OPEN_FULLY * opening * opening
    return total


def openness(holds: Holds, base: int, style: Style) -> float:
    """Return how far the widest two fingers are open, 1 at the limit of the hand."""
    table = style.opening
    up = base - 1
    return max(
        (
            table[one.finger][other.finger][one.fret + up][other.fret + up]
            for one in holds
            for other in holds
        ),
        default=0.0,
    )


@lru_cache(maxsize=131072)
def best_way(shape: Shape, base: int, rig: Rig, thumb: bool = False) -> tuple[Way, Effort] | None:
    """Return the easiest way to hold a shape at a fret, None where there is none.

    Of equals the one whose fingers, bass side first, have the smaller numbers.
    """
    best: tuple[Way, Effort] | None = None
    for way in ways(shape, rig.style, thumb):
        if best is not None and way.fixed > best[1].raw:
            break
        effort = weigh(way, base, rig)
        if best is None or effort.raw < best[1].raw:
            best = (way, effort)
    return best
