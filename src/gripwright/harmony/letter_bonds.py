"""Bonds: notes of a chord whose letters belong together, whatever each alone would be.

The third of a major triad is a third, also where it falls to the minor one. A flat seventh that
rises while its root falls is an augmented sixth. A diminished seventh is minor thirds above the
leading tone of the chord that it goes to, by that chord's bass or else by its root. Each bond is
so many log odds; common practice, the sizes chosen on held-out composers (docs/naming.md).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from gripwright.harmony.letter_signs import Sounds, roles_of
from gripwright.harmony.letter_weights import MOVES, Sign
from gripwright.theory.pitch import Note

THIRD, SIXTH, LEADING = 2.0, 2.0, 1.0
FARTHEST_GOAL = 12  # chords to look ahead for where a diminished seventh goes
_ABOVE_LEADING = {3: -3, 6: -6, 9: -9}  # semitones, fifths
Odds = Mapping[int, Mapping[Note, float]]


class Bond(NamedTuple):
    """Two pitch classes, how many fifths the second lies above the first, and the log odds."""

    low: int
    high: int
    fifths: int
    worth: float


def bonds_of(chords: Sequence[Sounds], index: int, signs: Sequence[Sign]) -> tuple[Bond, ...]:
    """Return the bonds of one chord among its neighbours, those of one low note together.

    >>> from gripwright.harmony.letter_signs import signs_of
    >>> chords = [Sounds((56, 60, 63, 66)), Sounds((55, 59, 62, 67))]
    >>> [(bond.low, bond.high, bond.fifths) for bond in bonds_of(chords, 0, signs_of(chords, 0))]
    [(8, 0, 4), (8, 6, 10)]
    """
    ways = {(sign.pc, MOVES[sign.move]) for sign in signs}
    roles = roles_of(frozenset(sign.pc for sign in signs))
    found = [Bond((pc - 4) % 12, pc, 4, THIRD) for pc, r in roles.items() if r == "major third"]
    for pc, role in roles.items():
        root = (pc - 10) % 12
        if role == "flat seventh" and (pc, "rises") in ways and (root, "falls") in ways:
            found.append(Bond(root, pc, 10, SIXTH))
    diminished = frozenset(pc for pc, role in roles.items() if role == "diminished seventh")
    if len(diminished) == 4:
        found += _above_leading(chords, index, diminished)
    return tuple(sorted(found))


def _above_leading(
    chords: Sequence[Sounds], index: int, diminished: frozenset[int]
) -> Iterator[Bond]:
    """Yield the bonds of a diminished seventh with a leading tone of where it goes."""
    for chord in chords[index + 1 : index + FARTHEST_GOAL]:
        pcs = frozenset(midi % 12 for midi in chord.midi)
        if not diminished <= pcs:
            leading = _leading(chord, pcs, diminished)
            if leading is not None:
                for above, fifths in _ABOVE_LEADING.items():
                    yield Bond(leading, (leading + above) % 12, fifths, LEADING)
            return


def _leading(goal: Sounds, pcs: frozenset[int], diminished: frozenset[int]) -> int | None:
    """Return the note a half step below the goal's bass, or else below its root."""
    roots = [pc for pc, role in roles_of(pcs).items() if role in ("major root", "minor root")]
    goals = [min(goal.midi) % 12, *roots[:1]] if goal.placed else roots[:1]
    return next(((pc - 1) % 12 for pc in goals if (pc - 1) % 12 in diminished), None)


def bind(odds: Odds, bonds: Sequence[Bond]) -> Odds:
    """Return the odds of letters by pitch class, each star of bonds weighed as a whole."""
    bound = dict(odds)
    for low, star in groupby(bonds, lambda bond: bond.low):
        _weigh(bound, low, list(star))
    return bound


def _weigh(bound: dict[int, Mapping[Note, float]], low: int, star: Sequence[Bond]) -> None:
    """Give the low note of a star and the notes above it the odds that they have together."""
    sums = dict.fromkeys(bound[low], 0.0)
    above = {bond.high: dict.fromkeys(bound[bond.high], 0.0) for bond in star}
    for hub, odds in bound[low].items():
        leaves = [_bonded(hub, bond, bound[bond.high]) for bond in star]
        sums[hub] = odds * math.prod(sum(leaf.values()) for leaf in leaves)
        for bond, leaf in zip(star, leaves, strict=True):
            share = sums[hub] / sum(leaf.values())
            for note, worth in leaf.items():
                above[bond.high][note] += share * worth
    for pc, letters in ((low, sums), *above.items()):
        total = sum(letters.values())
        bound[pc] = {note: worth / total for note, worth in letters.items()}


def _bonded(hub: Note, bond: Bond, letters: Mapping[Note, float]) -> dict[Note, float]:
    """Return the odds of a note's letters, those that the bond asks for the likelier."""
    asked, more = hub.fifths + bond.fifths, math.exp(bond.worth)
    return {n: odds * more if n.fifths == asked else odds for n, odds in letters.items()}
