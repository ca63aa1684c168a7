"""A change between two grips, told: how far the hand moves, which fingers stay, each voice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from gripwright.neck.geometry import fret_mm
from gripwright.neck.hand import NAMES, Finger
from gripwright.neck.shapes import Hold
from gripwright.voicing.search import Found


@dataclass(frozen=True, slots=True)
class Move:
    """One change. ``kept`` fingers stay on their string and fret, ``slid`` ones on their string.

    ``hinged`` tells that a barre is opened or closed without leaving its fret. ``shift_frets``
    is how far the hand moves up the neck (down negative), ``shift_mm`` the same in mm.
    ``voices`` pairs the pitches (MIDI), lowest first, with the least movement in all; where a
    grip has more notes than the other, some voices part or meet.
    """

    shift_frets: int
    shift_mm: float
    kept: tuple[Finger, ...]
    slid: tuple[Finger, ...]
    hinged: bool
    voices: tuple[tuple[int, int], ...]


def hand_fret(one: Found) -> int | None:
    """Return the fret of the first finger, or where it would be; None with none in use."""
    holds = [hold for hold in one.way.holds if hold.finger]
    if not holds:
        return None
    lowest = min(holds, key=lambda hold: hold.finger)
    return max(1, lowest.fret + one.base - lowest.finger)


def move_between(before: Found, after: Found) -> Move:
    """Return the change from one fingered grip to the next."""
    start, end = hand_fret(before), hand_fret(after)
    shift, far = 0, 0.0
    if start is not None and end is not None:
        scale_mm = after.player.build.scale_mm
        shift, far = end - start, fret_mm(end, scale_mm) - fret_mm(start, scale_mm)
    old = {hold.finger: hold for hold in before.way.holds}
    kept: list[Finger] = []
    slid: list[Finger] = []
    hinged = False
    for hold in after.way.holds:
        was = old.get(hold.finger)
        if was is None or was.low > hold.high or hold.low > was.high:
            continue
        same = was.fret + before.base == hold.fret + after.base
        (kept if same else slid).append(NAMES[hold.finger])
        hinged = hinged or (same and was.is_barre != hold.is_barre and _is_first(hold))
    return Move(
        shift, far, tuple(sorted(kept)), tuple(sorted(slid)), hinged,
        voice_pairs(before.midis, after.midis),
    )  # fmt: skip


def _is_first(hold: Hold) -> bool:
    return hold.finger == 1


def voice_pairs(before: Sequence[int], after: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Return who goes where with the least sum of semitones, every note of both in use.

    Voices may part or meet but never cross, which costs nothing extra (Tymoczko 2006 on
    minimal voice leading with doublings).

    >>> voice_pairs([48, 52, 55], [48, 53, 57])
    ((48, 48), (52, 53), (55, 57))
    """
    if not before or not after:
        return ()
    return _aligned(tuple(sorted(before)), tuple(sorted(after)))[1]


@lru_cache(maxsize=65536)
def _aligned(
    before: tuple[int, ...], after: tuple[int, ...]
) -> tuple[int, tuple[tuple[int, int], ...]]:
    """Return the least sum and the pairs of two rising rows, by their last notes."""
    pair = (before[-1], after[-1])
    step = abs(pair[0] - pair[1])
    rests = []
    if len(before) > 1 and len(after) > 1:
        rests.append(_aligned(before[:-1], after[:-1]))
    if len(before) > 1:
        rests.append(_aligned(before[:-1], after))
    if len(after) > 1:
        rests.append(_aligned(before, after[:-1]))
    if not rests:
        return step, (pair,)
    best = min(rests, key=lambda rest: rest[0])
    return best[0] + step, (*best[1], pair)
