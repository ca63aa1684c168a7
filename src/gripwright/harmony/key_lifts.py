"""Music that is heard again higher: the last chorus a half step up.

Songs rise so far more often than they change key in any other way, and what is heard again higher
is heard as the same music. So keys are looked for in the music as it stood at first, and go up
with it. Shifts by a fourth or a fifth are no lifts: riffs and blues move so within a key. Common
practice, no source; how much makes a stretch was set on annotated songs.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from gripwright.harmony.facts import Facts
from gripwright.harmony.key_events import Event, Mark

# So many chords, on so many roots or more, are known again; of few chords half, but no fewer.
STRETCH, SHORTEST, ROOTS = 6, 4, 3
HIGHER = (1, 2, 3)  # half steps
Pattern = tuple[int, ...] | None


def lifts_of(marks: Sequence[Mark]) -> list[int]:
    """Return by how many half steps each chord stands above the music that it was first.

    >>> once = [(root, "maj") for root in (0, 5, 7, 0, 5, 7)]
    >>> lifts_of(once + [(root + 2, sort) for root, sort in once])
    [0, 0, 0, 0, 0, 0, 2, 2, 2, 2, 2, 2]
    """
    size = max(SHORTEST, min(STRETCH, len(marks) // 2))
    patterns = _patterns(marks, size)
    if not _is_moved(patterns, marks):
        return [0] * len(marks)
    known: dict[Pattern, set[int]] = {}
    lifts: list[int] = []
    now = 0
    for at, pattern in enumerate((*patterns, *[None] * (size - 1))):
        begun = at - size
        if begun >= 0 and patterns[begun] and lifts[begun] == now:
            known.setdefault(patterns[begun], set()).add((marks[begun][0] - now) % 12)
        found = {(marks[at][0] - first) % 12 for first in known.get(pattern, ())}
        if found and now not in found:
            now = next((lift for lift in (0, *HIGHER) if lift in found), now)
            if _leads(marks[at - 1], marks[at]):
                lifts[-1] = now
        lifts.append(now)
    return lifts


def _leads(before: Mark, here: Mark) -> bool:
    """Return whether a chord is the dominant seventh of the next: it opens what is lifted."""
    return before == ((here[0] + 7) % 12, "7")


def _patterns(marks: Sequence[Mark], size: int) -> list[Pattern]:
    """Return for each stretch what it is at any pitch, None where it is on too few roots."""
    roots = [root for root, _ in marks]
    numbers: dict[tuple[int, str, str], int] = {}
    steps = [
        numbers.setdefault(((new - old) % 12, before, after), len(numbers))
        for (old, before), (new, after) in itertools.pairwise(marks)
    ]
    return [
        tuple(steps[at : at + size - 1]) if len(set(roots[at : at + size])) >= ROOTS else None
        for at in range(len(marks) - size + 1)
    ]


def _is_moved(patterns: Sequence[Pattern], marks: Sequence[Mark]) -> bool:
    """Return whether a stretch is heard from two roots."""
    first: dict[Pattern, int] = {}
    return any(
        first.setdefault(pattern, root) != root
        for pattern, (root, _) in zip(patterns, marks, strict=False)
        if pattern is not None
    )


def lowered(events: Sequence[Event], lifts: Sequence[int]) -> list[Event]:
    """Return events as the music stood at first; their symbols stay as they are."""
    if not any(lifts):
        return list(events)
    return [
        replace(event, facts=_moved(event.facts, -lift)) if lift else event
        for event, lift in zip(events, lifts, strict=True)
    ]


@lru_cache(maxsize=1024)
def _moved(facts: Facts, by: int) -> Facts:
    return replace(
        facts, root=(facts.root + by) % 12, bass=(facts.bass + by) % 12,
        pcs=frozenset((pc + by) % 12 for pc in facts.pcs),
    )  # fmt: skip
