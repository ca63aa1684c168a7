"""From what sounds to what a hand holds: likely grips of each chord, and the likeliest chain.

Candidates come from a beam over the strings for each place of the hand; the project's hand
model (`neck.hand`) weighs sets of pitches against each other. Among grips of one set of pitches
the choice is a conditional logit (McFadden, in Zarembka, Frontiers in Econometrics, 1974) fitted
on development grips. Viterbi over time lets neighbouring chords agree.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.bands import LOW_MIDI
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.hand import Player, finger_for
from gripwright.neck.tuning import Neck

Floats = NDArray[np.float64]

HIGHEST_FRET = 15
_SPAN = 4
_BEAM = 40
_KEPT = 10
_WORST = -3.5
_EFFORT, _DOUBLED, _HIGH, _HOLE, _FAR_OPEN = 1.2, 0.6, 0.1, 0.4, 1.2
_PLACE_EFFORT, _PLACE_HOLE, _PLACE_SPAN, _PLACE_OPEN = 0.25, 1.35, 0.65, 2.3
_PLACE_DOUBLED, _PLACE_TREBLE, _PLACE_BASS = 1.3, -1.05, -2.3
_MOVE, _AGAIN = 0.12, 1.5


@dataclass(frozen=True, slots=True)
class Held:
    """A grip that may have been held; ``score`` is in log odds, larger the likelier."""

    grip: Grip
    midi: tuple[int, ...]
    score: float
    place: float


def likely_grips(odds: Floats, neck: Neck, most: int = _KEPT) -> tuple[Held, ...]:
    """Return the likeliest grips for what was heard, best first; none if no string fits."""
    found: dict[tuple[int | None, ...], float] = {}
    for low in range(1, HIGHEST_FRET - _SPAN + 2):
        for frets, score in _beam(odds, neck, low):
            if score > found.get(frets, -np.inf):
                found[frets] = score
    ranked = sorted(found.items(), key=lambda item: -item[1])
    out: list[Held] = []
    best = ranked[0][1] if ranked else 0.0
    for frets, score in ranked[:120]:
        if score < best - 9.0:
            break
        fitted = _held(frets, score, neck)
        if fitted is not None:
            out.append(fitted)
    return tuple(sorted(_placed(out, neck), key=lambda held: -held.score)[:most])


def _placed(found: list[Held], neck: Neck) -> list[Held]:
    """Return grips scored by the best of their own pitches, less what their place is worse by."""
    sets: dict[tuple[int, ...], list[Held]] = {}
    for held in found:
        sets.setdefault(held.midi, []).append(held)
    out = []
    for group in sets.values():
        costs = [_place_cost(held.grip.frets, neck) for held in group]
        top, least = max(held.score for held in group), min(costs)
        out += [replace(h, score=top - (c - least)) for h, c in zip(group, costs, strict=True)]
    return out


def _place_cost(frets: tuple[int | None, ...], neck: Neck) -> float:
    """Return how unlikely a grip is among those of the same pitches, in log odds."""
    pressed = [fret for fret in frets if fret]
    played = [index for index, fret in enumerate(frets) if fret is not None]
    midi = [neck.midi(index, fret) for index, fret in enumerate(frets) if fret is not None]
    low, half = min(pressed, default=0), len(frets) // 2
    return (
        _PLACE_EFFORT * (_effort(frets, neck) or 0.0)
        + _PLACE_HOLE * (played[-1] - played[0] + 1 - len(played))
        + _PLACE_SPAN * (max(pressed, default=0) - low)
        + _PLACE_OPEN * frets.count(0) * (low > 4)
        + _PLACE_DOUBLED * (len(midi) - len(set(midi)))
        + _PLACE_BASS * frets[: half - 1].count(None)
        + _PLACE_TREBLE * frets[half:].count(None)
    )


def _beam(odds: Floats, neck: Neck, low: int) -> list[tuple[tuple[int | None, ...], float]]:
    """Return string by string choices within one place of the hand, with their odds."""
    rows: list[tuple[tuple[int | None, ...], float, frozenset[int]]] = [((), 0.0, frozenset())]
    for index in range(len(neck)):
        choices: list[tuple[int | None, int, float]] = [(None, -1, 0.0)]
        for fret in (0, *range(low, low + _SPAN + 1)):
            pitch = neck.midi(index, fret) - LOW_MIDI
            if 0 <= pitch < len(odds) and odds[pitch] > _WORST:
                choices.append((fret, pitch, float(odds[pitch])))
        longer = []
        for frets, score, have in rows:
            for fret, pitch, gain in choices:
                if fret is None:
                    longer.append(((*frets, None), score, have))
                elif pitch in have:
                    longer.append(((*frets, fret), score - _DOUBLED, have))
                else:
                    longer.append(((*frets, fret), score + gain, have | {pitch}))
        longer.sort(key=lambda row: -row[1])
        rows = longer[:_BEAM]
    return [(frets, score) for frets, score, have in rows if have]


def _held(frets: tuple[int | None, ...], score: float, neck: Neck) -> Held | None:
    effort = _effort(frets, neck)
    if effort is None:
        return None
    grip = Grip(frets)
    midi = tuple(sorted({sound.midi for sound in soundings(grip, neck)}))
    pressed = grip.pressed
    place = float(np.mean(pressed)) if pressed else 0.0
    played = [index for index, fret in enumerate(frets) if fret is not None]
    holes = played[-1] - played[0] + 1 - len(played)
    low = min(pressed) if pressed else 0
    cost = _EFFORT * effort + _HIGH * low + _HOLE * holes
    cost += _FAR_OPEN * frets.count(0) * (low > 4)
    return Held(grip, midi, score - cost, place)


@lru_cache(maxsize=20000)
def _effort(frets: tuple[int | None, ...], neck: Neck) -> float | None:
    fingering = finger_for(Grip(frets), Player(neck))
    return None if fingering is None else fingering.effort.raw


def likely_chain(chords: list[tuple[Held, ...]]) -> list[int]:
    """Return which candidate of each chord makes the likeliest chain; each has at least one."""
    if not chords:
        return []
    score = np.array([held.score for held in chords[0]])
    back: list[NDArray[np.int64]] = []
    for before, after in pairwise(chords):
        moves = np.array([[_move(b, a) for b in before] for a in after])
        total = score[None, :] - moves
        back.append(total.argmax(axis=1))
        score = total.max(axis=1) + np.array([held.score for held in after])
    picks = [int(score.argmax())]
    for pointers in reversed(back):
        picks.append(int(pointers[picks[-1]]))
    return picks[::-1]


def _move(before: Held, after: Held) -> float:
    if before.grip == after.grip:
        return 0.0
    if before.midi == after.midi:
        return _AGAIN
    open_hand = before.place == 0.0 or after.place == 0.0
    return 0.0 if open_hand else _MOVE * min(abs(before.place - after.place), 8.0)
