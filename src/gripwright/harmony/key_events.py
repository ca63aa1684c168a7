"""Changes as key finding hears them: chords that last, what repeats, and which idiom it is."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal

from gripwright.harmony.facts import Facts

# A chord as the table knows it: its root and its sort.
Mark = tuple[int, str]
Idiom = Literal["songs", "parts"]
LONGEST_LOOP = 12
SECTION = 5  # as many chords, heard again elsewhere, make a section
INVERTED_IN_PARTS, KNOWN_IN_PARTS, FEWEST_IN_PARTS = 0.15, 0.515, 12


@dataclass(frozen=True, slots=True)
class Event:
    """A chord as long as it lasts, struck again or not: the indexes of changes it covers.

    ``mark`` is its root and sort.
    """

    facts: Facts
    start: int
    end: int
    length: float
    mark: Mark = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "mark", (self.facts.root, self.facts.sort))


@dataclass(frozen=True, slots=True)
class Form:
    """Where laps of loops start, and which chords open and close a section."""

    laps: tuple[bool, ...]
    opens: frozenset[int]
    closes: frozenset[int]


def events_of(chords: Sequence[Facts | None], lengths: Sequence[float]) -> list[Event]:
    """Join equal neighbours; a silence lengthens what came before it."""
    events: list[Event] = []
    for index, (facts, length) in enumerate(zip(chords, lengths, strict=True)):
        last = events[-1] if events else None
        if last and (facts is None or _same(facts, last.facts)):
            events[-1] = Event(last.facts, last.start, index + 1, last.length + length)
        elif facts is not None:
            start = last.end if last else 0
            events.append(Event(facts, start, index + 1, length))
    return events


def _same(one: Facts, other: Facts) -> bool:
    same_root = one.root == other.root and one.bass == other.bass
    return one is other or (same_root and one.kind == other.kind)


def lap_starts(marks: Sequence[object]) -> list[bool]:
    """Return where a lap of a loop starts: a stretch of 2 to 12 chords heard twice in a row.

    >>> lap_starts(list("abcabcd"))
    [True, False, False, True, False, False, False]
    """
    size, starts, at = len(marks), [False] * len(marks), 0
    while at < size:
        covered, period = 0, 0
        for lap in range(2, min(LONGEST_LOOP, (size - at) // 2) + 1):
            if marks[at + lap] != marks[at] or marks[at + lap + 1] != marks[at + 1]:
                continue
            run = 0
            while at + lap + run < size and marks[at + lap + run] == marks[at + run]:
                run += 1
            if run >= lap and (1 + run // lap) * lap > covered:
                covered, period = (1 + run // lap) * lap, lap
        for start in range(at, at + covered, period or 1):
            starts[start] = True
        at += covered or 1
    return starts


def section_edges(marks: Sequence[object], size: int = SECTION) -> tuple[set[int], set[int]]:
    """Return the chords that open a section and those that close one.

    A section opens where a stretch is heard more than once, after different chords, and closes
    where one is followed by different chords; start and end of all differ from any chord.

    >>> [sorted(edges) for edges in section_edges(list("abcdexabcdey"))]
    [[0, 6], [4, 10]]
    """
    places: dict[tuple[object, ...], list[int]] = {}
    for at in range(len(marks) - size + 1):
        places.setdefault(tuple(marks[at : at + size]), []).append(at)
    around = (None, *marks, None)
    opens: set[int] = set()
    closes: set[int] = set()
    for found in places.values():
        if len({around[at] for at in found}) > 1:
            opens.update(found)
        if len({around[at + size + 1] for at in found}) > 1:
            closes.update(at + size - 1 for at in found)
    return opens, closes


@lru_cache(maxsize=8)
def form_of(marks: tuple[Mark, ...]) -> Form:
    """Return the form of a song."""
    opens, closes = section_edges(marks)
    return Form(tuple(lap_starts(marks)), frozenset(opens), frozenset(closes))


def habit_of(marks: Sequence[object]) -> int:
    """Return how much repeats, 0 to 3: the share of moves that were heard before."""
    pairs = list(itertools.pairwise(marks))
    again = 1 - len(set(pairs)) / len(pairs) if pairs else 0.0
    return min(3, int(4 * again))


def _known(marks: Sequence[object], size: int = SECTION) -> float:
    """Return the share of chords that are in a stretch which is heard more than once."""
    stretches = [tuple(marks[at : at + size]) for at in range(len(marks) - size + 1)]
    times = Counter(stretches)
    covered = {
        at + step
        for at, stretch in enumerate(stretches)
        if times[stretch] > 1
        for step in range(size)
    }
    return len(covered) / len(marks)


def idiom_of(events: Sequence[Event]) -> Idiom:
    """Return whether this is a song over roots, or parts that invert chords and seldom repeat.

    What repeats is heard with the bass. The bounds part annotated songs from analysed scores
    of the development data.
    """
    inverted = sum(event.facts.bass != event.facts.root for event in events)
    if inverted < INVERTED_IN_PARTS * len(events) or len(events) < FEWEST_IN_PARTS:
        return "songs"
    known = _known([(event.mark, event.facts.bass) for event in events])
    return "parts" if known < KNOWN_IN_PARTS else "songs"
