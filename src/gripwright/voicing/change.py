"""What it costs the hand to change from one fingered grip to the next, and what the ear hears.

Worked out for many grips at once: a `Table` holds the grips of one place in a song as arrays,
`change_costs` weighs every grip of one table against every grip of another. Terms (common
practice, no source):

- shift: how far the hand travels along the neck, in mm at the first finger;
- fingers: one that stays at its fret on a string it holds already costs nothing (a barre that
  is opened or closed like a hinge stays as well), one that slides along its string half, one
  that is lifted and set elsewhere all, one that joins a little less;
- both count for more the less time there is;
- voices: how far each note is from the nearest one of the other grip, in semitones;
- the number of strings that sound, which should stay steady;
- the top line, where it should rise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gripwright.neck.fingering import Way
from gripwright.neck.shapes import Hold
from gripwright.voicing.search import Found

SHIFT_PER_MM = 0.005
SLID, MOVED, JOINED = 0.05, 0.10, 0.07
VOICE_PER_SEMITONE = 0.06
TOP_FALLS = 0.3
EACH_STRING = 0.03
# With this much time between chords in seconds a change costs what the terms say.
EASY_S, LEAST_HASTE, MOST_HASTE = 1.0, 0.5, 3.0
_LOWEST_MIDI, _PITCHES = 20, 90
_SILENT, _NOWHERE = -100, 100

Matrix = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Table:
    """Grips as arrays, one row each.

    ``frets``, ``lows`` and ``highs`` are [grips, 5] by finger, thumb first: fret from the nut
    (0 for an unused finger) and the covered strings (none for an unused one). ``place_mm`` is
    where the first finger is, NaN for a grip that presses nothing. ``sounds`` is [grips,
    pitches], 1/voices where a pitch sounds, ``nearest`` [grips, pitches] the semitones to the
    nearest sounding pitch.
    """

    frets: NDArray[np.int8]
    lows: NDArray[np.int8]
    highs: NDArray[np.int8]
    place_mm: NDArray[np.float32]
    tops: NDArray[np.int16]
    strings: NDArray[np.float32]
    sounds: Matrix
    nearest: Matrix


def table_of(grips: Sequence[Found]) -> Table:
    """Return the arrays of some grips."""
    up = np.array([one.base - 1 for one in grips], np.int8)
    rows = np.array([_row(one.way) for one in grips], np.int8).reshape(len(grips), 16)
    held = rows[:, 1:].reshape(len(grips), 5, 3)
    frets = np.where(held[..., 0] > 0, held[..., 0] + up[:, None], 0).astype(np.int8)
    scale_mm = grips[0].player.build.scale_mm if grips else 0.0
    used = frets[:, 1:].any(axis=1)
    first = np.where(used, np.maximum(1, rows[:, 0] + up), np.nan)
    strings = max((len(one.midis) for one in grips), default=1)
    midis = np.array(
        [one.midis + (_SILENT,) * (strings - len(one.midis)) for one in grips], np.int16
    ).reshape(len(grips), strings)
    pitches = np.arange(_LOWEST_MIDI, _LOWEST_MIDI + _PITCHES, dtype=np.int16)
    away = np.abs(pitches - midis[..., None])
    sounds = (away == 0).any(axis=1).astype(np.float32)
    return Table(
        frets,
        held[..., 1],
        held[..., 2],
        np.asarray(scale_mm * (1 - 2 ** (-first / 12)), np.float32),
        midis.max(axis=1),
        np.array([len(one.midis) for one in grips], np.float32),
        sounds / np.maximum(1.0, sounds.sum(axis=1, keepdims=True)),
        away.min(axis=1).astype(np.float32),
    )


@lru_cache(maxsize=65536)
def _row(way: Way) -> tuple[int, ...]:
    """Return where the first finger is or would be in the shape, then each finger's hold.

    A hold is fret, lowest and highest covered string; the thumb comes first.
    """
    row = [0, _NOWHERE, -_NOWHERE] * 5
    for hold in way.holds:
        row[3 * hold.finger : 3 * hold.finger + 3] = (hold.fret, hold.low, hold.high)
    lowest = min((hold for hold in way.holds if hold.finger), key=_finger, default=None)
    return (lowest.fret - (lowest.finger - 1) if lowest else 0, *row)


def _finger(hold: Hold) -> int:
    return hold.finger


def haste(time_s: float) -> float:
    """Return how much more a change costs that has this much time.

    >>> haste(1.0), haste(0.5), haste(10.0)
    (1.0, 2.0, 0.5)
    """
    return float(min(MOST_HASTE, max(LEAST_HASTE, EASY_S / max(time_s, 1e-6))))


def motion(before: Table, after: Table) -> Matrix:
    """Return what the hand does from each grip of one table to each of another, unhurried."""
    far = np.abs(before.place_mm[:, None] - after.place_mm[None, :])
    used = (before.frets > 0).astype(np.float32), (after.frets > 0).astype(np.float32)
    both = used[0] @ used[1].T
    on_string = np.zeros(both.shape, np.int8)
    slid = np.zeros(both.shape, np.int8)
    for finger in np.flatnonzero(before.frets.any(axis=0) & after.frets.any(axis=0)):
        over = before.lows[:, finger, None] <= after.highs[None, :, finger]
        over &= after.lows[None, :, finger] <= before.highs[:, finger, None]
        on_string += over
        over &= before.frets[:, finger, None] != after.frets[None, :, finger]
        slid += over
    total = np.float32(SHIFT_PER_MM) * np.nan_to_num(far, copy=False)
    total += np.float32(SLID) * slid
    total += np.float32(MOVED) * (both - on_string)
    total += np.float32(JOINED) * (used[1].sum(axis=1)[None, :] - both)
    return np.asarray(total, np.float32)


def voices(before: Table, after: Table) -> Matrix:
    """Return the mean semitones from each note to the nearest of the other grip, both ways."""
    there = before.nearest @ after.sounds.T
    back = before.sounds @ after.nearest.T
    return np.asarray((there + back) / 2, np.float32)


def heard(before: Table, after: Table, *, rising: bool = False) -> Matrix:
    """Return what the ear hears of each change: voices, strings that come or go, the top line."""
    total = np.float32(VOICE_PER_SEMITONE) * voices(before, after)
    total += np.float32(EACH_STRING) * np.abs(before.strings[:, None] - after.strings[None, :])
    if rising:
        total += np.float32(TOP_FALLS) * (before.tops[:, None] > after.tops[None, :])
    return np.asarray(total, np.float32)


def change_costs(before: Table, after: Table, time_s: float, *, rising: bool = False) -> Matrix:
    """Return the cost of every change between two tables, [before, after]."""
    moved = np.float32(haste(time_s)) * motion(before, after)
    return np.asarray(moved + heard(before, after, rising=rising), np.float32)
