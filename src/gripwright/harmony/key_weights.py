"""The table behind the key: how much each thing heard speaks for each tonic.

``key_weights.json`` holds log odds by semitones above the tonic, for a major and for a minor
family of modes, in two idioms: ``songs`` (chords over roots, loops; one table for both families,
since annotated songs tell the tonic and not the mode) and ``parts`` (inverted chords, cadence
after cadence). They were fitted by ``evaluation/fit_keys.py`` on annotated songs
and on analysed scores (docs/harmony.md names them); a positive number speaks for the tonic. A
state is ``12 * family + tonic``, families in the order of `FAMILIES`; vectors have 24 entries.
"""

from __future__ import annotations

from functools import lru_cache
from importlib import resources
from typing import Any, Literal

import msgspec

from gripwright.harmony.facts import COLOUR_OF_KIND, Facts

FAMILIES = ("major", "minor")
STATES = 24
Vector = tuple[float, ...]
Idiom = Literal["songs", "parts"]
ThirdRow = Literal["long", "first", "last", "lap"]
SILENT: Vector = (0.0,) * STATES


@lru_cache(maxsize=2)
def table(idiom: Idiom) -> dict[str, Any]:
    """Return the weights of an idiom as read from the package's file."""
    text = resources.files("gripwright.harmony").joinpath("key_weights.json").read_bytes()
    loaded: dict[str, Any] = msgspec.json.decode(text)[idiom]
    return loaded


def fade_of(idiom: Idiom) -> float:
    """Return how fast what is heard again loses weight: the n-th hearing counts n ** -fade."""
    return float(table(idiom)["fade"])


def _of_family(idiom: Idiom, name: str, family: str) -> dict[str, Any]:
    """Return the rows of a family; songs have one for both."""
    rows = table(idiom).get(name, {})
    found: dict[str, Any] = rows.get(family) or rows.get("any") or {}
    return found


def _spread(idiom: Idiom, name: str, row: str, pc: int) -> Vector:
    """Return the 24 weights of a row, read at a pitch class seen from each tonic."""
    rows = [_of_family(idiom, name, family).get(row) for family in FAMILIES]
    return tuple(row[(pc - tonic) % 12] if row else 0.0 for row in rows for tonic in range(12))


@lru_cache(maxsize=4096)
def chord_vector(idiom: Idiom, facts: Facts) -> Vector:
    """Return what a chord and its bass say by themselves."""
    bass = "root" if facts.bass == facts.root else "other"
    chord = _spread(idiom, "chord", facts.kind, facts.root)
    under = _spread(idiom, "bass", bass, facts.bass)
    return tuple(one + other for one, other in zip(chord, under, strict=True))


@lru_cache(maxsize=8192)
def third_vector(idiom: Idiom, name: ThirdRow, facts: Facts) -> Vector:
    """Return a row by root and third."""
    return _spread(idiom, name, facts.third, facts.root)


@lru_cache(maxsize=16384)
def move_vector(idiom: Idiom, before: Facts, after: Facts) -> Vector:
    """Return what a move between two chords says, whatever the key before it."""
    one, two = COLOUR_OF_KIND[before.kind], COLOUR_OF_KIND[after.kind]
    root = before.root
    from_c = move_from_c(idiom, one, two, (after.root - root) % 12)
    return tuple(from_c[family + (tonic - root) % 12] for family in (0, 12) for tonic in range(12))


@lru_cache(maxsize=1024)
def move_from_c(idiom: Idiom, one: str, two: str, size: int) -> Vector:
    """Return the weights of a move whose first root is C."""
    moves = [_of_family(idiom, "move", family) for family in FAMILIES]
    return tuple(
        found.get(f"{-tonic % 12}{one}>{(size - tonic) % 12}{two}", 0.0)
        for found in moves
        for tonic in range(12)
    )


@lru_cache(maxsize=8)
def change_rows(idiom: Idiom, habit: int) -> tuple[Vector, ...]:
    """Return, for each state, what it costs to enter every other from it (0 for itself).

    ``habit`` 0 to 3 is how much of the music repeats: what repeats seldom changes key.
    """
    change = table(idiom)["change"]
    pairs = {
        (a, b): change.get(f"{FAMILIES[a]}>{FAMILIES[b]}") or change["any>any"]
        for a in (0, 1)
        for b in (0, 1)
    }
    return tuple(
        tuple(
            0.0 if old == new else pairs[old // 12, new // 12][habit][(new - old) % 12]
            for new in range(STATES)
        )
        for old in range(STATES)
    )
