"""The neck and the hand in millimetres.

Distances along the neck run from the nut; distances across it from its middle, positive to
the bass side. Strings are counted by index from the bass side, frets from the nut, so a
string stopped by a capo at 2 and pressed one fret above it is pressed at fret 3. A finger
presses just behind a fret wire, but may stand anywhere in the fret's space: `gap_mm` is what
the hand has to open for two frets, the slack taken off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from gripwright.errors import InputError

Grade = Literal["light", "medium", "heavy"]

# Height of the strings over fret 12 in mm and tension against a medium set: common practice,
# no source. NUT_HEIGHT_MM is the height over the frets at the nut, as on a well-cut nut.
ACTION_MM: dict[Grade, float] = {"light": 1.8, "medium": 2.3, "heavy": 3.0}
GAUGE: dict[Grade, float] = {"light": 0.85, "medium": 1.0, "heavy": 1.15}
NUT_HEIGHT_MM = 0.35
STRING_N = 133.0
# Plain trebles and the lowest string are slacker than the wound middle strings: shares of
# STRING_N, after the tensions printed on common sets of steel strings, from memory.
PLAIN_SHARE, LOWEST_SHARE = 0.78, 0.87
# Share of a fret's space that a finger may stand back from its wire before the note buzzes.
SLACK = 0.4


@dataclass(frozen=True, slots=True)
class Build:
    """The instrument: string length, string spacing at nut and bridge, action and gauge."""

    scale_mm: float = 650.0
    nut_spacing_mm: float = 7.2
    bridge_spacing_mm: float = 10.5
    action: Grade = "medium"
    gauge: Grade = "medium"


STEEL = Build()


# Index, middle, ring, little: mean lengths in mm and abduction in degrees between
# neighbours, flat hands of 51 adults (Chatzioglou et al. 2024, Anat Cell Biol 57:172).
FINGER_MM = (63.9, 70.7, 65.5, 53.3)
ABDUCTION_DEG = (17.2, 14.3, 32.1)
# The length of the hand that those fingers are taken to belong to, from memory; a curled
# finger swings from its knuckle with about this share of its length.
MEAN_HAND_MM, CURLED = 184.0, 0.62
# Breadth of one finger at rest, tip to tip, as a share of the hand's length (from memory).
BREADTH = 0.105
MIN_HAND_MM, MAX_HAND_MM = 120.0, 260.0


@dataclass(frozen=True, slots=True)
class Hand:
    """A fretting hand, by its length from wrist crease to middle fingertip.

    >>> round(MEDIUM.rest_mm(1, 4), 1), round(MEDIUM.limit_mm(1, 4), 1)
    (58.0, 97.3)
    """

    length_mm: float = MEAN_HAND_MM

    def __post_init__(self) -> None:
        if not MIN_HAND_MM <= self.length_mm <= MAX_HAND_MM:
            raise InputError(
                f"a hand is {MIN_HAND_MM:.0f} to {MAX_HAND_MM:.0f} mm long, got {self.length_mm}",
                field="hand",
                remedy="measure from the wrist crease to the tip of the middle finger, such as 184",
            )

    @property
    def scale(self) -> float:
        """Return the size against the hand that was measured."""
        return self.length_mm / MEAN_HAND_MM

    def finger_mm(self, finger: int) -> float:
        """Return the length of finger 1 to 4."""
        return FINGER_MM[finger - 1] * self.scale

    def rest_mm(self, low: int, high: int) -> float:
        """Return how far apart two fingertips stand along the neck with no spreading."""
        return (high - low) * BREADTH * self.length_mm

    def limit_mm(self, low: int, high: int) -> float:
        """Return how far apart two fingertips can stand along the neck, curled."""
        spread = 0.0
        for joint in range(low, high):
            swing = CURLED * min(self.finger_mm(joint), self.finger_mm(joint + 1))
            spread += swing * math.sin(math.radians(ABDUCTION_DEG[joint - 1]))
        return self.rest_mm(low, high) + spread


SMALL, MEDIUM, LARGE = Hand(165.0), Hand(MEAN_HAND_MM), Hand(205.0)
HANDS = {"small": SMALL, "medium": MEDIUM, "large": LARGE}


def fret_mm(fret: int, scale_mm: float = 650.0) -> float:
    """Return the distance of a fret wire from the nut: ``L(1 - 2^(-n/12))``.

    >>> round(fret_mm(4) - fret_mm(1), 1), fret_mm(12)
    (97.6, 325.0)
    """
    return float(scale_mm * (1.0 - 2.0 ** (-fret / 12.0)))


@lru_cache(maxsize=4096)
def gap_mm(low: int, high: int, scale_mm: float = 650.0) -> float:
    """Return how far a hand opens from one fret to a higher one, the slack taken off.

    It shrinks as both frets move up by the same number.

    >>> round(gap_mm(1, 2), 1), round(gap_mm(12, 13), 1), gap_mm(5, 5)
    (20.7, 10.9, 0.0)
    """
    if high <= low:
        return 0.0
    back = fret_mm(high, scale_mm) - fret_mm(high - 1, scale_mm)
    return fret_mm(high, scale_mm) - fret_mm(low, scale_mm) - SLACK * back


@lru_cache(maxsize=4096)
def reach_share(low: int, high: int, hand: Hand = MEDIUM, scale_mm: float = 650.0) -> float:
    """Return what two frets ask of a hand, 1 where index and little finger are at their limit.

    >>> round(reach_share(1, 4), 2), round(reach_share(1, 5), 2)
    (0.88, 1.18)
    """
    return gap_mm(low, high, scale_mm) / hand.limit_mm(1, 4)


def across_mm(index: int, strings: int, fret: int, build: Build = STEEL) -> float:
    """Return how far a string lies from the middle of the neck at a fret, bass side positive."""
    share = fret_mm(fret, build.scale_mm) / build.scale_mm
    spacing = build.nut_spacing_mm + share * (build.bridge_spacing_mm - build.nut_spacing_mm)
    return ((strings - 1) / 2 - index) * spacing


def string_share(index: int, strings: int) -> float:
    """Return a string's tension against the wound middle strings."""
    if index >= strings - 2:
        return PLAIN_SHARE
    return LOWEST_SHARE if index == 0 else 1.0


def press_n(index: int, strings: int, fret: int, stop: int = 0, build: Build = STEEL) -> float:
    """Return the force in newtons that brings a string down to a fret.

    A string of tension T pulled down by h at distance a from its stop (nut or capo) and b
    from the bridge answers with ``T h (1/a + 1/b)``; h grows along the neck to the action.

    >>> press_n(2, 6, 1) > press_n(2, 6, 3) < press_n(2, 6, 12)
    True
    """
    at = fret_mm(fret, build.scale_mm)
    start = fret_mm(stop, build.scale_mm)
    slope = (ACTION_MM[build.action] - NUT_HEIGHT_MM) / (build.scale_mm / 2)
    height = NUT_HEIGHT_MM + slope * (at - start)
    tension = STRING_N * GAUGE[build.gauge] * string_share(index, strings)
    return tension * height * (1 / (at - start) + 1 / (build.scale_mm - at))
