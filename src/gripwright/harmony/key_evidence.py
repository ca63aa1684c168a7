"""What the chords of changes say about each key, chord by chord: clues weighed by the table."""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.harmony.key_clues import Clue, clues_of
from gripwright.harmony.key_events import Event, Idiom, habit_of
from gripwright.harmony.key_practice import add_closes, add_practice
from gripwright.harmony.key_weights import states_of, vector


def evidence(events: Sequence[Event], idiom: Idiom) -> list[list[float]]:
    """Return for each event the log odds it gives to each state."""
    rows = [_weighed(heard, idiom) for heard in clues_of(events, idiom)]
    chords = [event.facts for event in events]
    add_closes(rows, chords)
    if idiom == "songs":
        add_practice(rows, chords, habit_of([event.mark for event in events]))
    return rows


def _weighed(heard: Sequence[tuple[tuple[Clue, ...], float]], idiom: Idiom) -> list[float]:
    """Return the sum of what clues say, each times how much it counts; three at a time."""
    said = [(vector(idiom, clues), amount) for clues, amount in heard]
    row = [0.0] * states_of(idiom)
    while len(said) % 3:
        said.append((tuple(row), 0.0))
    for (one, a), (two, b), (three, c) in zip(said[::3], said[1::3], said[2::3], strict=True):
        row = [
            have + a * x + b * y + c * z for have, x, y, z in zip(row, one, two, three, strict=True)
        ]
    return row
