"""Group strokes into chords: which strokes belong to one grip, and what each grip sounds.

Exact dynamic programming over the strokes. Within a group each pitch is either in the grip or
not, whichever costs less: a pitch in the grip pays for strums that it is missing from and must
be heard at least once; a pitch outside pays for every time it is heard.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gripwright.hearing.strokes import Stroked

Floats = NDArray[np.float64]

CHANGE = 7.0
MOST_STROKES = 40
MOST_STRINGS = 6
_CLIP = 6.5
_MEMBER = 0.6
_ABSENT_STRUM, _GONE = 0.75, 0.35
_TOO_MANY = 4.0
_QUIET = 1.0
_UNSTRUCK = 12.0


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Strokes ``first`` up to, not including, ``end``; ``odds`` says for each pitch by how much
    its being in the grip is the cheaper account of what was heard."""

    first: int
    end: int
    odds: Floats


def group_strokes(stroked: Stroked, change: Floats | None = None) -> tuple[Group, ...]:
    """Return the chords' strokes in order; strokes that sound no pitch are in no group.

    ``change`` [strokes] is what a new chord costs at each stroke, `CHANGE` where not given.
    """
    usable = np.flatnonzero(stroked.sounding.max(axis=1, initial=-9.0) > _QUIET)
    count = len(usable)
    if not count:
        return ()
    sounding = np.clip(stroked.sounding[usable], -_CLIP, _CLIP).astype(np.float64)
    struck = (stroked.struck[usable] > 0).sum(axis=1)
    strummed = (struck >= 3)[:, None]
    zero = np.zeros((1, sounding.shape[1]))
    heard = np.concatenate([zero, np.cumsum(np.maximum(sounding, 0), 0)])
    silent = np.maximum(-sounding, 0)
    strum = np.concatenate([zero, np.cumsum(np.where(strummed, _ABSENT_STRUM, 0.0) * silent, 0)])
    gone = np.concatenate([zero, np.cumsum(np.where(strummed, 0.0, _GONE) * silent, 0)])
    cost_of_change = np.full(count, CHANGE) if change is None else change[usable]
    attack = 1 / (1 + np.exp(-np.clip(stroked.struck[usable].max(axis=1), -20, 20)))
    cost_of_change = cost_of_change + _UNSTRUCK * (1 - attack)
    best = np.full(count + 1, np.inf)
    best[0] = 0.0
    back = np.zeros(count + 1, np.int64)
    odds: list[Floats] = []
    for end in range(1, count + 1):
        low = max(0, end - MOST_STROKES)
        top = np.maximum.accumulate(sounding[low:end][::-1], axis=0)[::-1]
        faded = _faded(sounding, gone, low, end)
        inside = strum[end] - strum[low:end] + faded + np.maximum(-top, 0) + _MEMBER
        outside = heard[end] - heard[low:end]
        total = best[low:end] + np.minimum(inside, outside).sum(axis=1) + cost_of_change[low:end]
        total += _TOO_MANY * np.maximum((outside > inside).sum(axis=1) - MOST_STRINGS, 0)
        chosen = int(total.argmin())
        back[end], best[end] = low + chosen, total[chosen]
        odds.append(outside[chosen] - inside[chosen])
    groups: list[Group] = []
    end = count
    while end > 0:
        low = int(back[end])
        groups.append(Group(int(usable[low]), int(usable[end - 1]) + 1, odds[end - 1]))
        end = low
    return tuple(reversed(groups))


def _faded(sounding: Floats, gone: Floats, low: int, end: int) -> Floats:
    """Return what each pitch pays for being silent after it was heard, for each first stroke."""
    out = np.zeros((end - low, sounding.shape[1]))
    after = np.zeros(sounding.shape[1])
    for first in range(end - 1, low - 1, -1):
        after = np.where(sounding[first] > 0, gone[end] - gone[first], after)
        out[first - low] = after
    return out
