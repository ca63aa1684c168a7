"""Where a note of a grip lies, in teaching words: from the nearest root under the hand.

The hand covers the frets from the lowest pressed one over four frets, or as far as the grip
itself reaches; open strings count where the grip sounds one, on strings that it plays. A root is
named only where it really is; one that sounds is as near as another one string closer.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from gripwright.harmony.tones import Tone
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import STANDARD_NECK, Neck, string_number
from gripwright.theory.pitch import Note

HAND_FRETS = 4  # frets that a hand covers without moving
_COUNTS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the neck: string 1 is the highest, fret 0 the open string or the capo."""

    string: int
    fret: int


@lru_cache(maxsize=2048)
def roots_under_hand(grip: Grip, root: Note, neck: Neck = STANDARD_NECK) -> tuple[Place, ...]:
    """Return every place of a root that the hand covers in a grip, bass side first."""
    frets = _reach(grip)
    return tuple(
        Place(string_number(index, len(neck)), fret)
        for index in range(len(neck))
        for fret in frets
        if neck.midi(index, fret) % 12 == root.pc and (fret or grip.frets[index] is not None)
    )


def _reach(grip: Grip) -> list[int]:
    """Return the frets under the hand, lowest first."""
    pressed = grip.pressed
    low = min(pressed, default=1)
    high = max(low + HAND_FRETS - 1, max(pressed, default=0))
    return ([0] if 0 in grip.frets else []) + list(range(low, high + 1))


def nearest_root(tone: Tone, grip: Grip, root: Note, neck: Neck = STANDARD_NECK) -> Place | None:
    """Return the root nearest to a note, None if none is there.

    Of equally near ones the one on fewer strings off, then one that sounds.
    """
    places = roots_under_hand(grip, root, neck)
    return min(places, key=lambda place: _distance(tone, place, grip), default=None)


def _distance(tone: Tone, place: Place, grip: Grip) -> tuple[int, int, bool]:
    strings, frets = abs(tone.string - place.string), abs(tone.fret - place.fret)
    sounds = grip.frets[len(grip.frets) - place.string] == place.fret
    return 2 * (strings - sounds) + frets, strings, not sounds


def place_words(tone: Tone, grip: Grip, root: Note, neck: Neck = STANDARD_NECK) -> str:
    """Return where a note lies, as a teacher says it.

    >>> from gripwright.harmony.reading import readings
    >>> from gripwright.neck.grip import parse_grip
    >>> grip = parse_grip("x32333")
    >>> best = readings(grip)[0]
    >>> place_words(best.tones[2], grip, best.root)
    'the ♭7 on string 3, fret 3 sits two frets below the root at fret 5 of the same string'
    """
    here = f"the {_name(tone)} on {_spot(tone.string, tone.fret)}"
    if tone.degree.number == 1 and tone.degree.alter == 0:
        return here
    place = nearest_root(tone, grip, root, neck)
    if place is None:
        return f"{here} has no {root.pretty} under this hand"
    return f"{here} {_from(tone, place)}"


def _name(tone: Tone) -> str:
    return "root" if tone.degree.text == "1" else tone.degree.pretty


def _spot(string: int, fret: int) -> str:
    return f"string {string}, fret {fret}" if fret else f"open string {string}"


def _from(tone: Tone, place: Place) -> str:
    frets, strings = tone.fret - place.fret, place.string - tone.string
    if strings == 0:
        where = f"fret {place.fret}" if place.fret else "the open end"
        return f"sits {_by_frets(frets)} the root at {where} of the same string"
    side = "treble" if strings > 0 else "bass"
    root = _spot(place.string, place.fret)
    across = f"{_count(abs(strings), 'string')} to the {side} side of the root on {root}"
    if frets == 0:
        return f"lies {across}, {'at the same fret' if tone.fret else 'open too'}"
    if tone.fret == 0 and place.fret > HAND_FRETS:
        return f"lies {across}, and rings open"
    along = "higher" if frets > 0 else "lower"
    return f"lies {across}, {_count(abs(frets), 'fret')} {along}"


def _by_frets(frets: int) -> str:
    return f"{_count(abs(frets), 'fret')} {'above' if frets > 0 else 'below'}"


def _count(number: int, word: str) -> str:
    amount = _COUNTS[number] if number < len(_COUNTS) else str(number)
    return f"{amount} {word}" + ("" if number == 1 else "s")
