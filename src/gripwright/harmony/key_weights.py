"""The table behind the key: how much each thing heard speaks for each tonic.

``key_weights.json`` holds, for two idioms, rows of weights by semitones above the tonic:
``songs`` (chords over roots, loops; one state a tonic, since annotated songs tell the tonic and
not the mode) and ``parts`` (inverted chords, cadence after cadence; twelve weights for major,
then twelve for minor). ``key_clues`` names the rows. They were fitted by
``evaluation/fit_keys.py`` on annotated songs and on analysed scores (docs/harmony.md names
them); a positive number speaks for the tonic. A state is ``12 * family + tonic``.
"""

from __future__ import annotations

import itertools
from functools import lru_cache
from importlib import resources
from typing import Any

import msgspec

from gripwright.harmony.key_clues import Clue, rows_of
from gripwright.harmony.key_events import Idiom

FAMILIES = ("major", "minor")
THOUSANDTHS = 1000
Vector = tuple[float, ...]


@lru_cache(maxsize=2)
def table(idiom: Idiom) -> dict[str, Any]:
    """Return the weights of an idiom as read from the package's file."""
    text = resources.files("gripwright.harmony").joinpath("key_weights.json").read_bytes()
    loaded: dict[str, Any] = msgspec.json.decode(text)[idiom]
    return loaded


def states_of(idiom: Idiom) -> int:
    """Return how many states the keys of an idiom have."""
    return 12 if idiom == "songs" else 24


@lru_cache(maxsize=32768)
def packed(idiom: Idiom, clues: tuple[Clue, ...]) -> int:
    """Return what clues say for each state, in thousandths, 64 bits a state, the first lowest.

    A row that the table lacks says nothing.
    """
    rows, states = table(idiom)["rows"], states_of(idiom)
    total = 0
    for name, pc in itertools.chain.from_iterable(map(rows_of, clues)):
        row = rows.get(name)
        if row is not None:
            for state in range(states):
                weight = row[state // 12 * 12 + (pc - state) % 12]
                total += round(weight * THOUSANDTHS) << 64 * state
    return total


@lru_cache(maxsize=8)
def change_rows(idiom: Idiom, habit: int) -> tuple[Vector, ...]:
    """Return, for each state, what it costs to enter every other from it (0 for itself).

    ``habit`` 0 to 3 is how much of the music repeats: what repeats seldom changes key.
    """
    change, states = table(idiom)["change"], states_of(idiom)
    return tuple(
        tuple(
            0.0 if old == new else change[f"{old // 12}>{new // 12}"][habit][(new - old) % 12]
            for new in range(states)
        )
        for old in range(states)
    )
