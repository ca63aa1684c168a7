"""The table behind the key: how much each thing heard speaks for each tonic.

``key_weights.json`` holds log odds by semitones above the tonic, for a major and for a minor
family of modes. They were fitted by ``evaluation/fit_keys.py`` on annotated songs and analysed
scores (docs/harmony.md names them); a positive number speaks for the tonic. A state is
``12 * family + tonic``, families in the order of `FAMILIES`; every vector has 24 entries.
"""

from __future__ import annotations

from functools import lru_cache
from importlib import resources
from typing import Any

import msgspec

from gripwright.harmony.facts import COLOUR_OF_KIND, Facts

FAMILIES = ("major", "minor")
STATES = 24
Vector = tuple[float, ...]


@lru_cache(maxsize=1)
def table() -> dict[str, Any]:
    """Return the weights as read from the package's file."""
    text = resources.files("gripwright.harmony").joinpath("key_weights.json").read_bytes()
    loaded: dict[str, Any] = msgspec.json.decode(text)
    return loaded


def _spread(name: str, row: str, pc: int) -> Vector:
    """Return the 24 weights of a row, read at a pitch class seen from each tonic."""
    rows = [table()[name][family].get(row) for family in FAMILIES]
    return tuple(
        rows[family][(pc - tonic) % 12] if rows[family] else 0.0
        for family in range(2)
        for tonic in range(12)
    )


@lru_cache(maxsize=4096)
def chord_vector(facts: Facts) -> Vector:
    """Return what a chord and its bass say by themselves."""
    bass = "root" if facts.bass == facts.root else "other"
    pairs = zip(
        _spread("chord", facts.kind, facts.root), _spread("bass", bass, facts.bass), strict=True
    )
    return tuple(chord + under for chord, under in pairs)


@lru_cache(maxsize=4096)
def third_vector(name: str, facts: Facts) -> Vector:
    """Return a row by root and third: ``long``, ``first``, ``last`` or ``lap``."""
    return _spread(name, facts.third, facts.root)


@lru_cache(maxsize=16384)
def move_vector(before: Facts, after: Facts) -> Vector:
    """Return what a move between two chords says, whatever the key before it."""
    colours = COLOUR_OF_KIND[before.kind], COLOUR_OF_KIND[after.kind]
    moves = [table()["move"][family] for family in FAMILIES]
    return tuple(
        moves[family].get(
            f"{(before.root - tonic) % 12}{colours[0]}>{(after.root - tonic) % 12}{colours[1]}", 0.0
        )
        for family in range(2)
        for tonic in range(12)
    )


@lru_cache(maxsize=8)
def change_rows(habit: int) -> tuple[Vector, ...]:
    """Return, for each state, what it costs to enter every other from it (0 for itself).

    ``habit`` 0 to 3 is how much of the music repeats: what repeats seldom changes key.
    """
    change = table()["change"]
    return tuple(
        tuple(
            0.0
            if old == new
            else change[f"{FAMILIES[old // 12]}>{FAMILIES[new // 12]}"][habit][(new - old) % 12]
            for new in range(STATES)
        )
        for old in range(STATES)
    )
