"""What a way of holding a grip costs: pressing, stretch, coordination, muting.

Each part is a sum of plain terms, none of which knows a particular grip. A part ``raw`` is
reported as ``1 - exp(-raw)``, from 0 (nothing) towards 1 (all that a hand can do); the whole
is ``1 - (1-press)(1-stretch)(1-coordination)(1-muting)``, which is the same curve over the sum
of the raw parts. So each part can be compared by itself, and the easiest fingering is the one
with the smallest sum.

The terms follow what teachers say makes a grip hard (common practice, no source); their
weights were set against `evaluation/hand_bands.txt`, a list of grips in teachers' usual
order that was written down first. A barre presses all its strings and pays for lying flat, so
that laying one down never makes a grip easier; distances across the neck are counted at the
nut's spacing for stretch, so that a shape moved up the neck never stretches more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from gripwright.neck.geometry import MEDIUM, STEEL, Build, Hand, across_mm, gap_mm, press_n
from gripwright.neck.shapes import THUMB, Hold, Holds, Shape
from gripwright.neck.tuning import MAX_FRET, STANDARD_NECK, Neck

# Pressing. Force is weighed by how far the finger must curl or stretch across the neck from
# where it presses best (REST_MM to the bass side of the middle for the longest finger, nearer
# the treble side for a shorter one) and by the strength of the finger against the index.
PRESS_SCALE_N = 34.0
REST_MM, CURL_MM = 9.0, 25.0
STRENGTH = {THUMB: 0.75, 1: 1.0, 2: 1.0, 3: 0.9, 4: 0.7}
BARRE_LOSS, PAIR_LOSS, BARRE_FLAT_N = 1.5, 1.15, 1.1
# Stretch: opening two fingers as far as they go, and reaching across the neck.
OPEN_FULLY = 0.17
ACROSS_FREE_MM, ACROSS_FULL_MM, ACROSS = 16.0, 45.0, 0.12
_ROOTS = tuple(math.sqrt(number) for number in range(5))
# Coordination.
EACH_FINGER, EACH_ROW, ODD_ORDER, ODD_FAR, CRAMPED = 0.09, 0.04, 0.10, 0.03, 0.008
ARCH, ARCH_BARRE = 0.025, 0.12
ALONGSIDE_BARRE, ALONGSIDE_PAIR, OTHER_BARRE = 0.06, 0.02, 0.06
LITTLE, OUTER_FINGERS, OVER_THE_TOP = 0.12, 0.05, 0.35
# Finding the place: up from the nut or capo, where the hand has nothing to lean on, towards
# FAR for a hand far up; open strings between keep it from feeling its way along the neck.
FAR, FAR_OPENS, FAR_FRETS, NEAR_FRETS = 0.16, 0.45, 6.0, 3
# Muting, for a strummer. Strings left out at an edge: the stroke must start late on the bass
# side or stop short on the treble side, and the more of them the narrower the aim.
INSIDE, LAID = 0.32, 0.15
BASS_SIDE, TREBLE_SIDE = 0.015, 0.09


@dataclass(frozen=True, slots=True)
class Effort:
    """The raw parts of an effort and, from 0 to 1, what is reported of them."""

    raw_press: float = 0.0
    raw_stretch: float = 0.0
    raw_coordination: float = 0.0
    raw_muting: float = 0.0

    @property
    def raw(self) -> float:
        """Return the sum that the easiest fingering makes smallest."""
        return self.raw_press + self.raw_stretch + self.raw_coordination + self.raw_muting

    @property
    def total(self) -> float:
        """Return the whole effort, 0 to 1."""
        return share(self.raw)

    @property
    def press(self) -> float:
        """Return the part of pressing the strings down, 0 to 1."""
        return share(self.raw_press)

    @property
    def stretch(self) -> float:
        """Return the part of spreading the hand, 0 to 1."""
        return share(self.raw_stretch)

    @property
    def coordination(self) -> float:
        """Return the part of placing many fingers, or in an odd order, 0 to 1."""
        return share(self.raw_coordination)

    @property
    def muting(self) -> float:
        """Return the part of keeping strings silent, 0 to 1."""
        return share(self.raw_muting)


def share(raw: float) -> float:
    """Return the reported value of a raw sum, ``1 - exp(-raw)``."""
    return 1.0 - math.exp(-raw)


@dataclass(frozen=True, slots=True)
class Player:
    """Who plays on what: neck, hand, build, and whether the right hand plucks single strings.

    A finger-picker leaves a string alone by not plucking it, so mutes cost nothing.
    """

    neck: Neck = STANDARD_NECK
    hand: Hand = MEDIUM
    build: Build = STEEL
    plucks: bool = False

    @property
    def rig(self) -> Rig:
        """Return the tables of cost for this player."""
        return _rig(self.neck.stops, _style(self.hand, self.build, self.plucks))


PressTable = tuple[tuple[tuple[float, ...], ...], ...]
OpeningTable = tuple[tuple[tuple[tuple[float, ...], ...], ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Style:
    """What effort depends on wherever the capo is; one object for each hand, build and style.

    ``opening`` is how far two fingers are open, 0 at rest and 1 at the limit, by lower finger,
    higher finger and their frets from the nut.
    """

    hand: Hand
    build: Build
    plucks: bool
    opening: OpeningTable


@dataclass(frozen=True, slots=True, eq=False)
class Rig:
    """A style with the raw pressing by finger (thumb first), string and fret from the nut.

    A fret at or below a string's capo costs nothing there, since nobody presses it. The
    pitches of the strings do not matter to the hand, so tunings share a rig. ``stop`` is the
    fret of the capo, the highest one of a partial capo.
    """

    style: Style
    press: PressTable
    stop: int


@lru_cache(maxsize=256)
def _style(hand: Hand, build: Build, plucks: bool) -> Style:
    frets = range(MAX_FRET + 1)
    opening = tuple(
        tuple(
            tuple(tuple(_opening(hand, a, b, f, g, build.scale_mm) for g in frets) for f in frets)
            for b in range(5)
        )
        for a in range(5)
    )
    return Style(hand, build, plucks, opening)


def _opening(hand: Hand, low: int, high: int, fret: int, other: int, scale_mm: float) -> float:
    if not THUMB < low < high or other <= fret:
        return 0.0
    rest = hand.rest_mm(low, high)
    return max(0.0, gap_mm(fret, other, scale_mm) - rest) / (hand.limit_mm(low, high) - rest)


@lru_cache(maxsize=256)
def _rig(stops: tuple[int, ...], style: Style) -> Rig:
    press = tuple(
        tuple(
            tuple(
                _press(style, finger, index, fret, stops) if fret > stop else 0.0
                for fret in range(MAX_FRET + 1)
            )
            for index, stop in enumerate(stops)
        )
        for finger in (THUMB, 1, 2, 3, 4)
    )
    return Rig(style, press, max(stops))


def _press(style: Style, finger: int, index: int, fret: int, stops: tuple[int, ...]) -> float:
    force = press_n(index, len(stops), fret, stops[index], style.build)
    if finger == THUMB:
        return force / STRENGTH[THUMB] / PRESS_SCALE_N
    short = (style.hand.finger_mm(2) - style.hand.finger_mm(finger)) / 2
    off = across_mm(index, len(stops), fret, style.build) - (REST_MM - short)
    lever = 1.0 + (off / (CURL_MM * style.hand.scale)) ** 2
    return force * lever / STRENGTH[finger] / PRESS_SCALE_N


def press_of(hold: Hold, base: int, table: PressTable) -> float:
    """Return raw pressing of a hold whose shape's 1 is the fret ``base``."""
    fret = hold.fret + base - 1
    rows = table[hold.finger]
    if not hold.is_barre:
        return rows[hold.low][fret]
    flat = BARRE_FLAT_N * (hold.high - hold.low + 1) / STRENGTH[hold.finger] / PRESS_SCALE_N
    loss = PAIR_LOSS if is_pair(hold) else BARRE_LOSS
    return loss * sum(rows[index][fret] for index in hold.strings) + flat


def is_pair(hold: Hold) -> bool:
    """Tell whether the first finger lies over two neighbouring strings, as it does by itself."""
    return hold.finger == 1 and hold.high - hold.low == 1


def across_of(holds: Holds, build: Build, hand: Hand) -> float:
    """Return raw stretch across the neck, at the nut's spacing."""
    total = 0.0
    full = ACROSS_FULL_MM * hand.scale
    free = ACROSS_FREE_MM * hand.scale
    for one, other in combinations(holds, 2):
        far = abs(one.middle - other.middle) * build.nut_spacing_mm
        if far > free and one.finger and other.finger:
            over = far - free * _ROOTS[abs(one.finger - other.finger)]
            if over > 0.0:
                total += ACROSS * (over / full) ** 2
    return total


def coordination_of(shape: Shape, holds: Holds) -> float:
    """Return raw coordination: how many fingers, rows and crossings, arches and barres."""
    if not holds:
        return 0.0
    total = EACH_FINGER * (len(holds) - 1) + EACH_ROW * (len({one.fret for one in holds}) - 1)
    outer, barred = set(), 0.0
    for one in holds:
        total += _arch(shape, one)
        if one.finger >= 3:
            outer.add(one.fret)
        if one.finger == 4:
            total += LITTLE
        if one.finger == THUMB:
            total += OVER_THE_TOP
        if one.is_barre:
            barred = max(barred, ALONGSIDE_PAIR if is_pair(one) else ALONGSIDE_BARRE)
            total += OTHER_BARRE * (one.finger != 1)
    for one, other in combinations(holds, 2):
        if THUMB in (one.finger, other.finger):
            continue
        if one.fret == other.fret and (one.finger - other.finger) * (one.low - other.low) < 0:
            total += ODD_ORDER + ODD_FAR * (abs(one.middle - other.middle) - 1)
        apart = abs(one.finger - other.finger) - abs(one.fret - other.fret)
        total += CRAMPED * apart * (apart > 0 and one.fret != other.fret)
    return total + OUTER_FINGERS * (len(outer) > 1) + (len(holds) - 1) * barred


def _arch(shape: Shape, hold: Hold) -> float:
    """Return what it costs to keep clear of the next string on the treble side."""
    beside = shape[hold.high + 1] if hold.high + 1 < len(shape) else None
    if beside is None or beside >= hold.fret or hold.finger == THUMB:
        return 0.0
    if hold.is_barre:
        return ARCH_BARRE
    return ARCH if beside == 0 else 0.0


def muting_of(shape: Shape, holds: Holds) -> float:
    """Return raw muting for a strummer: silent strings, most of all between sounding ones.

    A finger on the string beside a silent one touches it; where none does, another finger has
    to be laid on it, once for silent strings side by side.
    """
    sounding = [index for index, fret in enumerate(shape) if fret is not None]
    if not sounding:
        return 0.0
    first, last = sounding[0], sounding[-1]
    total = BASS_SIDE * _narrower(first) + TREBLE_SIDE * _narrower(len(shape) - 1 - last)
    touched = {index for hold in holds for index in (hold.low - 1, hold.high + 1)}
    laid = False
    for index in range(first, last):
        if shape[index] is not None:
            laid = False
            continue
        total += INSIDE
        if index not in touched and not laid:
            total += LAID
            laid = True
    return total


def _narrower(strings: int) -> float:
    """Return how much narrower the aim is for strings left out at one edge: 1, 3, 6, 10."""
    return strings * (strings + 1) / 2


def place_of(base: int, opens: bool, stop: int) -> float:
    """Return raw coordination of finding the fret ``base`` from the nut, or a capo at ``stop``.

    >>> place_of(3, True, 0), place_of(7, True, 0) > place_of(7, False, 0) > 0
    (0.0, True)
    """
    beyond = max(0, base - stop - NEAR_FRETS)
    return (FAR_OPENS if opens else FAR) * (1.0 - math.exp(-beyond / FAR_FRETS))
