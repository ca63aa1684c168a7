"""Choose grips for symbols: the one door from the pack to the search, which loads slowly."""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.lesson.model import Finger
from gripwright.neck.effort import Player
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.arrange import Asked, Wanted, arrange
from gripwright.voicing.limits import Limits

Fingered = tuple[Grip, tuple[Finger | None, ...]]


def choose(symbols: Sequence[ChordSymbol], neck: Neck, level: int) -> list[Fingered]:
    """Return a grip with its fingers for each symbol; raises SearchError."""
    wanted = Wanted(Limits(level=level))
    best = arrange([Asked(symbol) for symbol in symbols], Player(neck), wanted)[0]
    return [(found.grip, found.fingering.fingers) for found in best.grips]
