"""What the chords of changes say about each key, chord by chord: clues weighed by the table."""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.harmony.key_clues import clues_of
from gripwright.harmony.key_events import Event, Idiom, habit_of
from gripwright.harmony.key_practice import add_closes, add_practice
from gripwright.harmony.key_weights import states_of, vector


def evidence(events: Sequence[Event], idiom: Idiom) -> list[list[float]]:
    """Return for each event the log odds it gives to each state."""
    rows: list[list[float]] = []
    for clues in clues_of(events, idiom):
        row = [0.0] * states_of(idiom)
        for clue, amount in clues:
            row = [
                have + amount * more for have, more in zip(row, vector(idiom, clue), strict=True)
            ]
        rows.append(row)
    chords = [event.facts for event in events]
    add_closes(rows, chords)
    if idiom == "songs":
        add_practice(rows, chords, habit_of([event.mark for event in events]))
    return rows
