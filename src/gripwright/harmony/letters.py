"""Letters: how the notes of a succession of chords are spelled.

Where a chord stands is hidden: at each chord the music is in some local key, major or minor,
with its letter. What the notes are, how each moves (up or down a half step, into the chord
after or out of the one before, in its own register), and what it is in a triad speak for one
key and another; keys change at a cost by the distance of their signatures. One exact forward
and backward pass over the whole succession gives the odds of every local key at every chord,
from what comes before and after. Some notes of a chord are then weighed together
(`letter_bonds`), and each takes the letter that has most odds. All costs are in `letter_weights`.

The line of fifths as the measure of nearness follows Temperley, The Cognition of Basic Musical
Structures (2001), chapter 5, the hearing of both sides of a note Meredith, "The ps13 pitch
spelling algorithm" (Journal of New Music Research 35(2), 2006), hidden keys by a chain
Raphael and Stoddard, "Functional harmonic analysis using probabilistic models" (Computer Music
Journal 28(3), 2004); the works of Temperley and of Raphael and Stoddard from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import mul

from gripwright.harmony.letter_bonds import bind, bonds_of
from gripwright.harmony.letter_signs import Sounds, signs_of, sounds_of
from gripwright.harmony.letter_weights import (
    MODES,
    STATES,
    Sign,
    State,
    Weights,
    fitted,
    heard,
    note_of,
    written,
)
from gripwright.theory.pitch import Note
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

HELD = 0.3  # how much a note says of the key that sounded in the chord before
TWIN, TWIN_COST = 6, 0.2  # beyond so many signs from where the music stands, a cost a sign
OTHER_KEY = 1.5  # log odds against a local key that is not the one that is stated
FAINT = 1e-6
_MINOR = ("minor", "dorian", "phrygian", "locrian")

# Where the music stands: a key, or the sharps of a signature, flats below zero.
Near = Key | int


@dataclass(frozen=True, slots=True, eq=False)
class Letters:
    """The letters of one chord by pitch class: the chosen, and the odds of each."""

    odds: Mapping[int, Mapping[Note, float]]

    def best(self, pc: int) -> Note:
        """Return the letter of a pitch class that sounds."""
        choices = self.odds[pc % 12]
        return max(choices, key=choices.__getitem__)

    def surprise(self, note: Note) -> float:
        """Return how far a letter stands behind the best, in log odds; 0 for what is silent."""
        choices = self.odds.get(note.pc)
        if choices is None:
            return 0.0
        return math.log(max(choices.values())) - math.log(max(choices.get(note, 0.0), FAINT))


def letters(
    chords: Sequence[Sounds], near: Sequence[Near], weights: Weights | None = None
) -> tuple[Letters, ...]:
    """Return the letters of each chord; ``near`` says of each where the music stands.

    >>> from gripwright.harmony.letter_signs import Sounds
    >>> dim = Sounds((59, 62, 65, 68))
    >>> goals = Sounds((60, 64, 67)), Sounds((57, 60, 69))
    >>> [letters([dim, goal], [0, 0])[0].best(8).name for goal in goals]
    ['Ab', 'G#']
    """
    return _letters(tuple(chords), tuple(near), weights or fitted())


@lru_cache(maxsize=16384)
def letters_among(
    pcs: tuple[int, ...], key: Key, before: ChordSymbol | None, after: ChordSymbol | None
) -> Letters:
    """Return the letters of one chord, known by its pitch classes, in a key between neighbours.

    >>> from gripwright.theory.scale import parse_key
    >>> [letters_among((3, 6, 8, 11), parse_key(key), None, None).best(8).name
    ...  for key in ("E major", "Gb major")]
    ['G#', 'Ab']
    """
    chords = [sounds_of(before)] if before else []
    chords.append(Sounds(pcs, placed=False))
    place = len(chords) - 1
    chords += [sounds_of(after)] if after else []
    return letters(chords, [key] * len(chords))[place]


@lru_cache(maxsize=256)
def _letters(
    chords: tuple[Sounds, ...], near: tuple[Near, ...], weights: Weights
) -> tuple[Letters, ...]:
    signs = [signs_of(chords, index) for index in range(len(chords))]
    odds = state_odds(chords, near, weights)
    return tuple(
        Letters(bind(_chosen(chord, mine, there, weights), bonds_of(chords, index, mine)))
        for index, (chord, mine, there) in enumerate(zip(chords, signs, odds, strict=True))
    )


def state_odds(
    chords: Sequence[Sounds], near: Sequence[Near], weights: Weights
) -> list[list[float]]:
    """Return the odds of each local key, in the order of `STATES`, at each chord."""
    signs = [signs_of(chords, index) for index in range(len(chords))]
    says = [_says(chords, signs, near, index, weights) for index in range(len(chords))]
    return _odds(says, weights)


def _says(
    chords: Sequence[Sounds],
    signs: Sequence[tuple[Sign, ...]],
    near: Sequence[Near],
    index: int,
    weights: Weights,
) -> list[float]:
    """Return the log odds that a chord gives to each state."""
    sums = list(_pull(near[index], weights))
    if index == 0:
        sums = [
            s - weights.start * _away(near[0], state) for s, state in zip(sums, STATES, strict=True)
        ]
    chord = chords[index]
    for place, sign in enumerate(signs[index]):
        said = heard(sign, weights).says
        count = HELD if index and chord.midi[place] in chords[index - 1].midi else 1.0
        letter = chord.letter(place)
        if letter is not None:
            fixed = written(letter.fifths, sign, weights)
            sums = [s + w + (count - 1) * v for s, v, w in zip(sums, said, fixed, strict=True)]
        else:
            sums = [s + count * v for s, v in zip(sums, said, strict=True)]
    return sums


def _away(near: Near, state: State) -> int:
    """Return how many signs a local key is away; a stated key's parallel is next door."""
    if isinstance(near, int):
        return abs(state.signs - near)
    away = abs(state.signs - near.fifths)
    return min(away, 1) if state.tonic == near.tonic.fifths else away


@lru_cache(maxsize=1024)
def _pull(near: Near, weights: Weights) -> tuple[float, ...]:
    """Return what the place where the music stands says of each state."""
    sums = []
    for state in STATES:
        away = _away(near, state)
        cost = weights.pull * away + TWIN_COST * max(0, away - TWIN)
        if not isinstance(near, int):
            cost += _foreign(state, near)
        sums.append(-cost)
    return tuple(sums)


def _foreign(state: State, key: Key) -> float:
    """Return the cost of a local key that is not the one stated: half for the parallel.

    A mode is at home in any local key with its signature.
    """
    family = MODES.index("minor" if key.mode in _MINOR else "major")
    if state.tonic == key.tonic.fifths:
        return 0.0 if state.mode == family else OTHER_KEY / 2
    return 0.0 if key.mode not in MODES and state.signs == key.fifths else OTHER_KEY


def _odds(says: Sequence[Sequence[float]], weights: Weights) -> list[list[float]]:
    """Return the odds of each state at each chord, from all that is heard (Rabiner 1989)."""
    onward = weights.steps
    back = tuple(zip(*onward, strict=True))
    heard_at = [_scaled(row) for row in says]
    ahead: list[list[float]] = []
    for said in heard_at:
        if not ahead:
            ahead.append(_unit(said))
            continue
        coming = [sum(map(mul, ahead[-1], into)) for into in back]
        ahead.append(_unit(list(map(mul, coming, said))))
    behind = [1.0] * len(STATES)
    odds = [ahead[-1]]
    for index in range(len(says) - 1, 0, -1):
        coming = list(map(mul, heard_at[index], behind))
        behind = _unit([sum(map(mul, row, coming)) for row in onward])
        odds.append(_unit(list(map(mul, ahead[index - 1], behind))))
    return odds[::-1]


def _scaled(row: Sequence[float]) -> list[float]:
    most = max(row)
    return [math.exp(value - most) for value in row]


def _unit(row: Sequence[float]) -> list[float]:
    total = sum(row)
    return [value / total for value in row]


def _chosen(
    chord: Sounds, signs: Sequence[Sign], states: Sequence[float], weights: Weights
) -> dict[int, dict[Note, float]]:
    """Return the odds of the letters of a chord; notes of one pitch class speak together."""
    likely = [(index, odds) for index, odds in enumerate(states) if odds > FAINT]
    by_pc: dict[int, dict[Note, float]] = {}
    for place, sign in enumerate(signs):
        letter = chord.letter(place)
        if letter is not None:
            by_pc[sign.pc] = {letter: 1.0}
            continue
        shares = heard(sign, weights).shares
        sums: dict[Note, float] = {}
        for index, odds in likely:
            for fifths, share in shares[index]:
                note = note_of(fifths)
                sums[note] = sums.get(note, 0.0) + odds * share
        before = by_pc.get(sign.pc)
        if before is not None:
            sums = {n: max(s, FAINT) * max(before.get(n, 0.0), FAINT) for n, s in sums.items()}
            total = sum(sums.values())
            sums = {note: value / total for note, value in sums.items()}
        by_pc[sign.pc] = sums
    return by_pc
