"""What the chords of changes say about each key, chord by chord: clues weighed by the table.

The weights of all states are one whole number, 64 bits a state, in thousandths; so a clue is
weighed for all of them by one product, exactly, and no library of arrays has to be loaded.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

from gripwright.harmony.key_clues import Clue, clues_of
from gripwright.harmony.key_events import Event, Idiom, habit_of
from gripwright.harmony.key_practice import add_closes, add_practice
from gripwright.harmony.key_weights import THOUSANDTHS, packed, states_of

AMOUNTS = 1 << 20  # how finely amounts are told apart
_UNIT = 1.0 / (AMOUNTS * THOUSANDTHS)
_MIDDLE = 1 << 62  # added to every state, so that none is negative


def evidence(events: Sequence[Event], idiom: Idiom) -> list[list[float]]:
    """Return for each event the log odds it gives to each state."""
    states = states_of(idiom)
    middles = sum(_MIDDLE << 64 * state for state in range(states))
    rows = [_weighed(heard, idiom, states, middles) for heard in clues_of(events, idiom)]
    chords = [event.facts for event in events]
    add_closes(rows, chords)
    if idiom == "songs":
        add_practice(rows, chords, habit_of([event.mark for event in events]))
    return rows


def _weighed(
    heard: Sequence[tuple[tuple[Clue, ...], float]], idiom: Idiom, states: int, total: int
) -> list[float]:
    """Return the sum of what clues say, each times how much it counts."""
    for clues, amount in heard:
        total += packed(idiom, clues) * int(amount * AMOUNTS)
    sums = struct.unpack(f"<{states}Q", total.to_bytes(8 * states, "little"))
    return [(one - _MIDDLE) * _UNIT for one in sums]
