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
- the top line, where it should rise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gripwright.voicing.search import Found

SHIFT_PER_MM = 0.005
SLID, MOVED, JOINED = 0.05, 0.10, 0.07
VOICE_PER_SEMITONE = 0.06
TOP_FALLS = 0.3
# With this much time between chords in seconds a change costs what the terms say.
EASY_S, LEAST_HASTE, MOST_HASTE = 1.0, 0.5, 3.0
_LOWEST_MIDI, _PITCHES = 20, 90
_SILENT = -100

Matrix = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Table:
    """Grips as arrays, one row each.

    ``frets``, ``lows`` and ``highs`` are [grips, 5] by finger, thumb first: fret from the nut
    (0 for an unused finger) and the covered strings. ``place_mm`` is where the first finger
    is, NaN for a grip that presses nothing. ``sounds`` is [grips, pitches], 1/voices where a
    pitch sounds, ``nearest`` [grips, pitches] the semitones to the nearest sounding pitch.
    """

    frets: NDArray[np.int8]
    lows: NDArray[np.int8]
    highs: NDArray[np.int8]
    place_mm: NDArray[np.float32]
    tops: NDArray[np.int16]
    sounds: Matrix
    nearest: Matrix


def table_of(grips: Sequence[Found]) -> Table:
    """Return the arrays of some grips."""
    held = np.array([_row(one) for one in grips], np.int8).reshape(len(grips), 5, 3)
    scale_mm = grips[0].player.build.scale_mm if grips else 0.0
    first = np.array([_first_fret(one) for one in grips], np.float32)
    strings = max((len(one.grip) for one in grips), default=1)
    midis = np.array(
        [one.midis + (_SILENT,) * (strings - len(one.midis)) for one in grips], np.int16
    ).reshape(len(grips), strings)
    away = np.abs(
        np.arange(_LOWEST_MIDI, _LOWEST_MIDI + _PITCHES, dtype=np.int16) - midis[..., None]
    )
    sounds = (away == 0).any(axis=1).astype(np.float32)
    return Table(
        held[..., 0], held[..., 1], held[..., 2],
        np.asarray(scale_mm * (1 - 2 ** (-first / 12)), np.float32), midis.max(axis=1),
        sounds / np.maximum(1.0, sounds.sum(axis=1, keepdims=True)),
        away.min(axis=1).astype(np.float32),
    )  # fmt: skip


def _row(one: Found) -> list[int]:
    """Return fret, lowest and highest covered string of each finger, thumb first."""
    row = [0] * 15
    up = one.base - 1
    for hold in one.way.holds:
        at = 3 * hold.finger
        row[at : at + 3] = (hold.fret + up, hold.strings[0], hold.strings[-1])
    return row


def _first_fret(one: Found) -> float:
    """Return the fret at which the first finger is, or would be; NaN with none in use."""
    fret, lowest = math.nan, 5
    for hold in one.way.holds:
        if 0 < hold.finger < lowest:
            fret, lowest = max(1, hold.fret + one.base - hold.finger), hold.finger
    return fret


def haste(time_s: float) -> float:
    """Return how much more a change costs that has this much time.

    >>> haste(1.0), haste(0.5), haste(10.0)
    (1.0, 2.0, 0.5)
    """
    return float(min(MOST_HASTE, max(LEAST_HASTE, EASY_S / max(time_s, 1e-6))))


def motion(before: Table, after: Table) -> Matrix:
    """Return what the hand does from each grip of one table to each of another, unhurried."""
    far = np.abs(before.place_mm[:, None] - after.place_mm[None, :])
    total = SHIFT_PER_MM * np.nan_to_num(far)
    for finger in range(5):
        old, new = before.frets[:, finger, None], after.frets[None, :, finger]
        over = (before.lows[:, finger, None] <= after.highs[None, :, finger]) & (
            after.lows[None, :, finger] <= before.highs[:, finger, None]
        )
        used, both = new > 0, (old > 0) & (new > 0)
        slid = both & over & (old != new)
        moved = both & ~over
        total += SLID * slid + MOVED * moved + JOINED * (used & (old == 0))
    return np.asarray(total, np.float32)


def voices(before: Table, after: Table) -> Matrix:
    """Return the mean semitones from each note to the nearest of the other grip, both ways."""
    there = before.nearest @ after.sounds.T
    back = before.sounds @ after.nearest.T
    return np.asarray((there + back) / 2, np.float32)


def change_costs(before: Table, after: Table, time_s: float, *, rising: bool = False) -> Matrix:
    """Return the cost of every change between two tables, [before, after]."""
    total = haste(time_s) * motion(before, after) + VOICE_PER_SEMITONE * voices(before, after)
    if rising:
        total = total + TOP_FALLS * (before.tops[:, None] > after.tops[None, :])
    return np.asarray(total, np.float32)
