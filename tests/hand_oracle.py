"""A slow and obvious fingering: every map from pressed strings to fingers, the rules in full.

Written apart from `gripwright.neck.shapes`, after the rules in docs/hand.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product

from gripwright.neck.shapes import Hold, hold

Frets = tuple[int | None, ...]
WIDEST = {1: 8, 2: 4, 3: 4, 4: 3}


def ways(frets: Frets) -> Iterator[tuple[Hold, ...]]:
    """Yield every legal way to hold frets that are counted from the nut."""
    pressed = [index for index, fret in enumerate(frets) if fret]
    for fingers in product((1, 2, 3, 4), repeat=len(pressed)):
        held: dict[int, list[int]] = {}
        for index, finger in zip(pressed, fingers, strict=True):
            held.setdefault(finger, []).append(index)
        if all(_can(frets, finger, strings) for finger, strings in held.items()) and all(
            _side_by_side(frets, held[a], held[b]) for a, b in combinations(sorted(held), 2)
        ):
            yield tuple(hold(f, frets[s[0]] or 0, tuple(s)) for f, s in sorted(held.items()))


def _can(frets: Frets, finger: int, strings: list[int]) -> bool:
    """One finger holds one fret; what lies under a barre is silent or no lower."""
    at = frets[strings[0]]
    assert at is not None
    under = [frets[index] for index in range(strings[0], strings[-1] + 1)]
    return (
        all(frets[index] == at for index in strings)
        and len(under) <= (WIDEST[finger] if len(strings) > 1 else 8)
        and (len(strings) == 1 or all(fret is None or fret >= at for fret in under))
    )


def _side_by_side(frets: Frets, low: list[int], high: list[int]) -> bool:
    """The lower finger is at the lower fret, or at the same one with strings apart."""
    one, other = frets[low[0]] or 0, frets[high[0]] or 0
    return one < other or (one == other and (low[-1] < high[0] or high[-1] < low[0]))


def can_hold(frets: Frets) -> bool:
    """Tell whether any way holds the frets."""
    return next(ways(frets), None) is not None
