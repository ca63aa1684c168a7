"""What the chords of a song say about each key, chord by chord.

What is heard again says less each time: the n-th hearing of a chord or a move counts
``n ** -fade``, the table says how fast. A chord that starts the lap of a loop, the first and
the last chord, and long chords have a say of their own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import median

from gripwright.harmony.facts import Facts
from gripwright.harmony.key_practice import add_closes, add_practice
from gripwright.harmony.key_weights import (
    SILENT,
    Idiom,
    chord_vector,
    fade_of,
    move_vector,
    third_vector,
)

MOST_HEARD = 1024
LONGEST_LOOP = 12
INVERTED_IN_PARTS, AGAIN_IN_PARTS, FEWEST_IN_PARTS = 0.15, 0.7, 12


@dataclass(frozen=True, slots=True)
class Event:
    """A chord as long as it lasts, struck again or not: the indexes of changes it covers."""

    facts: Facts
    start: int
    end: int
    length: float


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
    return one is other or (one.root, one.bass, one.kind) == (other.root, other.bass, other.kind)


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


def habit_of(marks: Sequence[object]) -> int:
    """Return how much repeats, 0 to 3: the share of moves that were heard before."""
    return min(3, int(4 * _again(marks)))


def _again(marks: Sequence[object]) -> float:
    pairs = list(itertools.pairwise(marks))
    return 1 - len(set(pairs)) / len(pairs) if pairs else 0.0


def idiom_of(events: Sequence[Event]) -> Idiom:
    """Return whether this is a song over roots, or parts that invert chords and seldom repeat.

    The bounds part annotated songs from analysed scores of the development data.
    """
    inverted = sum(event.facts.bass != event.facts.root for event in events)
    marks = [(event.facts.root, event.facts.kind) for event in events]
    in_parts = inverted >= INVERTED_IN_PARTS * len(events) and len(events) >= FEWEST_IN_PARTS
    return "parts" if in_parts and _again(marks) < AGAIN_IN_PARTS else "songs"


@lru_cache(maxsize=4)
def _fades(idiom: Idiom) -> tuple[float, ...]:
    return tuple(count ** -fade_of(idiom) for count in range(1, MOST_HEARD + 1))


def evidence(events: Sequence[Event], idiom: Idiom) -> list[list[float]]:
    """Return for each event the log odds it gives to each of the 24 states."""
    typical = median(event.length for event in events) or 1.0
    marks = [(event.facts.root, event.facts.kind) for event in events]
    laps = lap_starts(marks)
    fades = _fades(idiom)
    heard: dict[object, int] = {}

    def fade(mark: object) -> float:
        count = heard.get(mark, 0)
        heard[mark] = count + 1
        return fades[min(count, MOST_HEARD - 1)]

    rows: list[list[float]] = []
    before: Event | None = None
    for index, event in enumerate(events):
        facts, mark = event.facts, marks[index]
        once = fade(mark)
        long = once * max(-2.0, min(2.0, math.log2(event.length / typical)))
        move, share = SILENT, 0.0
        if before is not None:
            move, share = move_vector(idiom, before.facts, facts), fade((marks[index - 1], mark))
        terms = zip(
            chord_vector(idiom, facts), third_vector(idiom, "long", facts), move, strict=True
        )
        row = [once * chord + long * longer + share * step for chord, longer, step in terms]
        if laps[index]:
            _add(row, fade(("lap", mark)), third_vector(idiom, "lap", facts))
        rows.append(row)
        before = event
    chords = [event.facts for event in events]
    add_closes(rows, chords)
    if idiom == "songs":
        add_practice(rows, chords, habit_of(marks))
    _add(rows[0], 1.0, third_vector(idiom, "first", events[0].facts))
    _add(rows[-1], 1.0, third_vector(idiom, "last", events[-1].facts))
    return rows


def _add(row: list[float], share: float, vector: Sequence[float]) -> None:
    row[:] = [have + share * more for have, more in zip(row, vector, strict=True)]
