"""What the chords of changes say about each key, chord by chord: clues weighed by the table.

The weights of all states are one whole number, 64 bits a state, in thousandths; so a clue is
weighed for all of them by one product, exactly, and no library of arrays has to be loaded.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

from gripwright.harmony.key_clues import Clues, clues_in_song
from gripwright.harmony.key_events import Event, Idiom, habit_of
from gripwright.harmony.key_parts import clues_in_parts, clues_throughout
from gripwright.harmony.key_practice import add_closes, add_practice
from gripwright.harmony.key_weights import THOUSANDTHS, packed, states_of

AMOUNTS = 1 << 20  # how finely amounts are told apart
_UNIT = 1.0 / (AMOUNTS * THOUSANDTHS)
Said = dict[int, int]  # by the identity of clues, which live as long as the changes are weighed
_MIDDLE = 1 << 62  # added to every state, so that none is negative


def evidence(events: Sequence[Event], idiom: Idiom) -> list[list[float]]:
    """Return for each event the log odds it gives to each state."""
    states = states_of(idiom)
    middles = sum(_MIDDLE << 64 * state for state in range(states))
    if idiom == "songs":
        heard = clues_in_song(events)
    else:
        heard = clues_in_parts(events)
        middles = _with(clues_throughout(events), idiom, middles, {})
    said: Said = {}
    rows = [_unpacked(_with(clues, idiom, middles, said), states) for clues in heard]
    chords = [event.facts for event in events]
    add_closes(rows, chords)
    if idiom == "songs":
        add_practice(rows, chords, habit_of([event.mark for event in events]))
    return rows


def _with(heard: Sequence[Clues], idiom: Idiom, total: int, said: Said) -> int:
    """Return a sum with what clues say added, each times how much it counts.

    ``said`` keeps what clues say that are one object, which saves looking at each again.
    """
    for clues, amount in heard:
        says = said.get(id(clues))
        if says is None:
            says = said[id(clues)] = packed(idiom, clues)
        total += says * int(amount * AMOUNTS)
    return total


def _unpacked(total: int, states: int) -> list[float]:
    sums = struct.unpack(f"<{states}Q", total.to_bytes(8 * states, "little"))
    return [(one - _MIDDLE) * _UNIT for one in sums]
