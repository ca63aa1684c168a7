"""Grips for symbols that have none, for callers that only want something good to play."""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.neck.effort import Player
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.arrange import Arrangement, Asked, Wanted, arrange


def choose_grips(
    symbols: Sequence[ChordSymbol | Grip],
    neck: Neck = STANDARD_NECK,
    lengths_s: Sequence[float] | float = 2.0,
    *,
    wanted: Wanted | None = None,
) -> tuple[Grip, ...]:
    """Return a grip for each symbol, the best chain through all of them.

    A grip among the symbols stays as it is and its neighbours are chosen to suit it.
    ``lengths_s`` is how long each lasts in seconds, or one length for all. Raises SearchError
    naming the chord that has no grip.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> [g.text for g in choose_grips([parse_symbol(s) for s in ("Am7", "Em", "D")])]
    ['x02010', '022000', 'xx0232']
    """
    return tuple(one.grip for one in arranged(symbols, neck, lengths_s, wanted=wanted).grips)


def arranged(
    symbols: Sequence[ChordSymbol | Grip],
    neck: Neck = STANDARD_NECK,
    lengths_s: Sequence[float] | float = 2.0,
    *,
    wanted: Wanted | None = None,
) -> Arrangement:
    """Return the same with fingers, moves and losses."""
    lengths = [lengths_s] * len(symbols) if isinstance(lengths_s, int | float) else lengths_s
    asked = [
        Asked(None, one, length_s=length) if isinstance(one, Grip) else Asked(one, length_s=length)
        for one, length in zip(symbols, lengths, strict=True)
    ]
    return arrange(asked, Player(neck), wanted)[0]
