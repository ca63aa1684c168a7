"""The table behind the letters: what speaks for a spelling in each local key.

``letter_weights.json`` holds log odds in hundredths, fitted by ``evaluation/fit_letters.py``. A
local key is a *state*: a major or minor tonic with its letter, so that F# and Gb major are two.
A note's place is how many fifths it lies above the tonic (6 is a raised fourth, -2 a flat
seventh). What speaks for a letter is a sum of four rows: by the state's mode and the note's
place; by how the note moves and its place; by its role in a triad and its place; and by the
letter itself, however far from the tonic (B rather than C flat). ``changes`` says what going
from one state to another costs, by modes and by how far apart their signatures are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, NamedTuple

import msgspec

from gripwright.theory.pitch import Note

MODES = ("major", "minor")
MOVES = ("none", "rises", "falls", "fell", "rose")
ROLES = (
    "none", "major root", "major third", "major fifth", "minor root", "minor third",
    "minor fifth", "flat seventh", "diminished seventh", "diminished root", "diminished third",
    "diminished fifth",
)  # fmt: skip
MOST_SIGNS = 9
LOWEST_PLACE, HIGHEST_PLACE = -10, 13
LOWEST_NAME, HIGHEST_NAME = -18, 21
MINOR_TONIC = 3  # fifths from a signature to its minor tonic
FARTHEST = 8  # signatures farther apart than this cost no more to change between
_UNIT = 100


class State(NamedTuple):
    """A local key: ``signs`` sharps (flats below zero), its mode, its tonic in fifths above C."""

    signs: int
    mode: int
    tonic: int


STATES = tuple(
    State(signs, mode, signs + MINOR_TONIC * mode)
    for mode in range(2)
    for signs in range(-MOST_SIGNS, MOST_SIGNS + 1)
)


class Sign(NamedTuple):
    """What is heard of a note: its pitch class, how it moves (`MOVES`), its role (`ROLES`)."""

    pc: int
    move: int
    role: int


@dataclass(frozen=True, slots=True, eq=False)
class Weights:
    """The table as numbers; compared and hashed by identity, so that tables may be kept by it."""

    modes: tuple[tuple[float, ...], ...]
    names: tuple[float, ...]
    moves: tuple[tuple[float, ...], ...]
    roles: tuple[tuple[float, ...], ...]
    steps: tuple[tuple[float, ...], ...]
    start: float
    pull: float


@lru_cache(maxsize=1)
def fitted() -> Weights:
    """Return the weights that ship with the package."""
    text = resources.files("gripwright.harmony").joinpath("letter_weights.json").read_bytes()
    return weights_of(msgspec.json.decode(text))


def weights_of(table: dict[str, Any]) -> Weights:
    """Return a table read from a file as numbers."""

    def row(values: list[int]) -> tuple[float, ...]:
        return tuple(value / _UNIT for value in values)

    return Weights(
        tuple(row(table["modes"][mode]) for mode in MODES),
        row(table["names"]),
        tuple(row(table["moves"][move]) for move in MOVES),
        tuple(row(table["roles"][role]) for role in ROLES),
        _steps(table["changes"]),
        table["start"] / _UNIT,
        table["pull"] / _UNIT,
    )


def _steps(changes: dict[str, list[int]]) -> tuple[tuple[float, ...], ...]:
    """Return, for each state, the chance of going on to every other."""
    rows = []
    for old in STATES:
        raw = []
        for new in STATES:
            costs = changes[f"{MODES[old.mode]}>{MODES[new.mode]}"]
            raw.append(math.exp(costs[min(abs(new.signs - old.signs), FARTHEST)] / _UNIT))
        rows.append(tuple(value / sum(raw) for value in raw))
    return tuple(rows)


class Heard(NamedTuple):
    """What a sign says of each state: log odds, and the shares of the letters it may have.

    ``shares`` has for each state pairs of a place on the line of fifths and its share.
    """

    says: tuple[float, ...]
    shares: tuple[tuple[tuple[int, float], ...], ...]


@lru_cache(maxsize=8192)
def heard(sign: Sign, weights: Weights) -> Heard:
    """Return what a note heard so says of the states and of its letter."""
    says, shares = [], []
    for state in STATES:
        found = [
            (fifths, math.exp(_worth(fifths, sign, state, weights)))
            for fifths in range(state.tonic + LOWEST_PLACE, state.tonic + HIGHEST_PLACE + 1)
            if fifths * 7 % 12 == sign.pc
        ]
        total = sum(worth for _, worth in found)
        says.append(math.log(total))
        shares.append(tuple((fifths, worth / total) for fifths, worth in found))
    return Heard(tuple(says), tuple(shares))


@lru_cache(maxsize=8192)
def written(fifths: int, sign: Sign, weights: Weights) -> tuple[float, ...]:
    """Return the log odds that a note with a known letter gives to each state."""
    return tuple(_worth(fifths, sign, state, weights) for state in STATES)


def _worth(fifths: int, sign: Sign, state: State, weights: Weights) -> float:
    place = min(max(fifths - state.tonic, LOWEST_PLACE), HIGHEST_PLACE) - LOWEST_PLACE
    name = min(max(fifths, LOWEST_NAME), HIGHEST_NAME) - LOWEST_NAME
    return (
        weights.modes[state.mode][place] + weights.moves[sign.move][place]
        + weights.roles[sign.role][place] + weights.names[name]
    )  # fmt: skip


@lru_cache(maxsize=64)
def note_of(fifths: int) -> Note:
    """Return the note at a place on the line of fifths, C = 0.

    >>> note_of(6).name, note_of(-2).name
    ('F#', 'Bb')
    """
    alter, place = divmod(fifths + 1, 7)
    return Note((3, 0, 4, 1, 5, 2, 6)[place], alter)
