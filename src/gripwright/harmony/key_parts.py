"""What is heard in parts that may tell the key: chord by chord, from cadence to cadence, in all.

A chord of parts belongs to many keys by itself. So each is also heard with the cadence that it
leads to and the one that it comes from: a major chord whose root falls a fifth, in the bass. And
the whole piece is heard all along: the notes that fill it, its first chord and its last, since it
sets out from a home, visits that home's neighbours and ends there. What each of these counts is
fitted (`evaluation/fit_keys.py`).
"""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.harmony.facts import LEADING_KINDS
from gripwright.harmony.key_clues import Clues, Heard, bass_clue, longs_of
from gripwright.harmony.key_events import Event

# How far off a cadence is, by the most chords up to its goal.
FAR = {0: "here", 1: "one off", 3: "near", 6: "far", 10: "farther"}
LONG = 0.9  # by how many doublings a long goal is longer than usual


def clues_in_parts(events: Sequence[Event]) -> Heard:
    """Return for each event the clues that are heard in it, and how much each counts."""
    longs = longs_of(events)
    heard: Heard = []
    for at, (event, long) in enumerate(zip(events, longs, strict=True)):
        mark = event.mark
        heard.append(
            [((("chord", mark), bass_clue("bass", event)), 1.0), ((("long", mark),), long)]
        )
        if at:
            heard[at].append(((("move", events[at - 1].mark, mark),), 1.0))
    heard[0].append(((("first", events[0].mark),), 1.0))
    heard[-1].append(((("last", events[-1].mark),), 1.0))
    _add_cadences(heard, events, longs)
    return heard


def clues_throughout(events: Sequence[Event]) -> list[Clues]:
    """Return the clues that are heard all along: the notes that fill parts, and both ends."""
    whole = sum(event.length for event in events)
    lengths: dict[frozenset[int], float] = {}
    for event in events:
        lengths[event.facts.pcs] = lengths.get(event.facts.pcs, 0.0) + event.length
    found: list[Clues] = [
        (tuple(("holds", (pc, "note")) for pc in sorted(pcs)), length / whole)
        for pcs, length in lengths.items()
    ]
    return [*found, ((("opens", events[0].mark), ("closes", events[-1].mark)), 1.0)]


def _add_cadences(heard: Heard, events: Sequence[Event], longs: Sequence[float]) -> None:
    """Add to each event the cadence that comes next, up to its goal, and the one before."""
    goals = [at for at in range(1, len(events)) if _closes(events[at - 1], events[at])]
    for at, found in enumerate(heard):
        coming = next((goal for goal in goals if goal >= at), None)
        gone = next((goal for goal in reversed(goals) if goal < at), None)
        for way, goal in (("to", coming), ("from", gone)):
            if goal is not None and (far := _far(abs(goal - at))):
                size = "long" if longs[goal] >= LONG else "short"
                found.append((((f"{way} {size} {far}", events[goal].mark),), 1.0))


def _closes(five: Event, one: Event) -> bool:
    """Return whether a major chord's root falls a fifth to the next one's, both in the bass."""
    over, under = five.facts, one.facts
    return (
        (over.bass, under.bass) == (over.root, under.root)
        and (over.root - under.root) % 12 == 7
        and over.third == "major"
        and one.facts.sort not in (*LEADING_KINDS, "sus")
    )


def _far(chords: int) -> str | None:
    return next((name for most, name in FAR.items() if chords <= most), None)
