"""Finger a grip: which finger on which string, how hard it is, what to be careful of.

The easiest fingering is the exact optimum of the cost written down in `effort`, over every
way to hold the grip that `shapes` allows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from gripwright.errors import GripError
from gripwright.neck.cautions import grip_cautions
from gripwright.neck.effort import Effort, Player
from gripwright.neck.fingering import Way, best_way, openness, ways, weigh
from gripwright.neck.geometry import (
    HANDS,
    LARGE,
    MEDIUM,
    SMALL,
    STEEL,
    Build,
    Hand,
    fret_mm,
    reach_share,
)
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.shapes import Hold, Holds, shape_of
from gripwright.neck.tuning import MAX_FRET, STANDARD_NECK, Neck

__all__ = [
    "HANDS", "LARGE", "MEDIUM", "SMALL", "STEEL", "Barre", "Build", "Finger", "Fingering", "Hand",
    "Player", "finger", "finger_for", "fingering_of", "fingerings_for", "held_ways",
]  # fmt: skip

Finger = Literal["T", "1", "2", "3", "4"]
NAMES: tuple[Finger, ...] = ("T", "1", "2", "3", "4")
FULL_BARRE_STRINGS = 5


@dataclass(frozen=True, slots=True)
class Barre:
    """A finger laid across neighbouring strings: string 1 is the treble side.

    ``fret`` is counted from the capo of its bass-side string; ``kind`` is ``full`` over five
    strings or more, or over all the neck has, else ``partial``.
    """

    finger: Finger
    fret: int
    from_string: int
    to_string: int
    kind: Literal["full", "partial"]


@dataclass(frozen=True, slots=True)
class Fingering:
    """A grip and one way to hold it.

    ``fingers`` has one entry a string, bass side first, None where nothing is pressed.
    ``base`` is the fret from the nut of the lowest pressed fret, 0 where all is open.
    ``stretch_mm`` is the distance along the neck from the lowest to the highest fret wire in
    use; ``openness`` how far the widest two fingers are open, 1 at their limit, and ``reach``
    what the frets ask of the whole hand, 1 at the limit from index to little finger.
    """

    grip: Grip
    holds: Holds
    base: int
    fingers: tuple[Finger | None, ...]
    barres: tuple[Barre, ...]
    effort: Effort
    stretch_mm: float
    openness: float
    reach: float
    cautions: tuple[str, ...]

    def at(self, hold: Hold) -> int:
        """Return the fret of a hold, counted from the nut."""
        return hold.fret + self.base - 1


def finger(
    grip: Grip,
    neck: Neck = STANDARD_NECK,
    hand: Hand = MEDIUM,
    *,
    build: Build = STEEL,
    thumb: bool = False,
    plucks: bool = False,
    fingers: Sequence[Finger | None] | None = None,
) -> Fingering:
    """Return the easiest fingering of a grip, or the one that a teacher gave.

    ``thumb`` lets the thumb reach over the top; ``plucks`` is for a player who plucks single
    strings, whom silent strings cost nothing. ``fingers`` fixes the finger of some strings,
    bass side first.

    Raises GripError where the grip does not fit the neck, where no hand can hold it (more
    than four fingers would be needed), or where the given fingers cannot.

    >>> finger(Grip((None, 3, 2, 0, 1, 0))).fingers
    (None, '3', '2', None, '1', None)
    """
    player = Player(neck, hand, build, plucks)
    (best, *_), base = held_ways(grip, player, thumb=thumb, fingers=fingers)
    return fingering_of(grip, *best, base, player)


def _written(fingers: Sequence[Finger | None]) -> str:
    return "".join(finger or "-" for finger in fingers)


def finger_for(grip: Grip, player: Player, *, thumb: bool = False) -> Fingering | None:
    """Return the easiest fingering for a player, None where no hand can hold the grip."""
    shape, base = shape_of(grip.frets, player.neck.stops)
    best = best_way(shape, base, player.rig, thumb)
    return None if best is None else fingering_of(grip, *best, base, player)


def fingerings_for(
    grip: Grip,
    player: Player,
    *,
    thumb: bool = False,
    fingers: Sequence[Finger | None] | None = None,
) -> tuple[Fingering, ...]:
    """Return every way to hold a grip, easiest first; ``fingers`` as in `finger`.

    Raises GripError where the grip does not fit the neck, or no hand can hold it so.
    """
    found, base = held_ways(grip, player, thumb=thumb, fingers=fingers)
    return tuple(fingering_of(grip, way, effort, base, player) for way, effort in found)


def held_ways(
    grip: Grip,
    player: Player,
    *,
    thumb: bool = False,
    fingers: Sequence[Finger | None] | None = None,
) -> tuple[tuple[tuple[Way, Effort], ...], int]:
    """Return the same as ways and efforts, and the fret from the nut of the lowest one pressed."""
    _check(grip, player.neck)
    shape, base = shape_of(grip.frets, player.neck.stops)
    thumb = thumb or "T" in (fingers or ())
    found = [
        (way, weigh(way, base, player.rig))
        for way in ways(shape, player.rig.style, thumb)
        if fingers is None or _agrees(fingers_of(way.holds, len(grip)), fingers)
    ]
    if not found:
        what = "fingers 1 to 4" if fingers is None else f"the fingers {_written(fingers)}"
        raise GripError(
            f"grip {grip.text!r} cannot be held with {what}", field="grip",
            remedy="leave out a string, or bring its frets nearer to each other",
        )  # fmt: skip
    return tuple(sorted(found, key=lambda one: one[1].raw)), base


def fingers_of(holds: Holds, strings: int) -> tuple[Finger | None, ...]:
    """Return the finger on each string, bass side first, None where nothing is pressed."""
    fingers: list[Finger | None] = [None] * strings
    for hold in holds:
        for index in hold.strings:
            fingers[index] = NAMES[hold.finger]
    return tuple(fingers)


def _agrees(have: Sequence[Finger | None], given: Sequence[Finger | None]) -> bool:
    pairs = zip(have, given, strict=True)
    return all(want is None or finger == want for finger, want in pairs)


def _check(grip: Grip, neck: Neck) -> None:
    """Raise GripError unless the grip lies on the neck."""
    for sound in soundings(grip, neck):
        fret = sound.fret + neck.stops[sound.index]
        if sound.fret < 0 or fret > MAX_FRET:
            raise GripError(
                f"grip {grip.text!r} needs fret {fret} of string {sound.string}, the neck has"
                f" frets 0 to {MAX_FRET}", field="grip", at=sound.index,
                remedy=f"use frets 0 to {MAX_FRET - neck.stops[sound.index]}",
            )  # fmt: skip


def fingering_of(grip: Grip, way: Way, effort: Effort, base: int, player: Player) -> Fingering:
    """Return a grip with a way to hold it that `fingering` has found."""
    top = max((hold.fret for hold in way.holds), default=1) + base - 1
    scale_mm = player.build.scale_mm
    stretch = fret_mm(top, scale_mm) - fret_mm(base, scale_mm) if base else 0.0
    wide = openness(way.holds, base, player.rig.style)
    reach = reach_share(base, top, player.hand, scale_mm)
    return Fingering(
        grip,
        way.holds,
        base,
        fingers_of(way.holds, len(grip)),
        _barres(grip, way.holds),
        effort,
        stretch,
        wide,
        reach,
        grip_cautions(max(wide, reach)),
    )


def _barres(grip: Grip, holds: Holds) -> tuple[Barre, ...]:
    count = len(grip)
    return tuple(
        Barre(
            NAMES[hold.finger], grip.frets[hold.low] or 0, count - hold.low, count - hold.high,
            "full" if hold.high - hold.low + 1 >= min(FULL_BARRE_STRINGS, count) else "partial",
        )
        for hold in holds
        if hold.is_barre
    )  # fmt: skip
