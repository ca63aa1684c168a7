"""Grips: which fret on which string, bass-side string first, counted from the capo.

Written ``x35453``; with dashes, ``x-10-12-11-12-x``, where a fret has two digits. ``x`` is a
string that is not played, ``0`` the open string (or the capo).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from gripwright.errors import GripError
from gripwright.neck.tuning import MAX_FRET, MAX_STRINGS, Neck, string_number

_PLAIN = re.compile(r"[xX0-9]+")
_DASHED = re.compile(r"(?:[xX]|\d{1,2})(?:-(?:[xX]|\d{1,2}))+")


@dataclass(frozen=True, slots=True)
class Grip:
    """Frets, bass-side string first; None for a string that is not played.

    >>> parse_grip("x35453").frets
    (None, 3, 5, 4, 5, 3)
    """

    frets: tuple[int | None, ...]

    @property
    def text(self) -> str:
        """Return the shortest writing that `parse_grip` reads back."""
        signs = ["x" if fret is None else str(fret) for fret in self.frets]
        return ("-" if any(len(sign) > 1 for sign in signs) else "").join(signs)

    @property
    def pressed(self) -> tuple[int, ...]:
        """Return the frets that are pressed (not open, not muted)."""
        return tuple(fret for fret in self.frets if fret)

    def __len__(self) -> int:
        return len(self.frets)

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class Sounding:
    """One sounding string of a grip: ``index`` from the bass side, ``string`` 1 = treble."""

    index: int
    string: int
    fret: int
    midi: int


def parse_grip(text: str, strings: int | None = None) -> Grip:
    """Read a grip; ``strings`` is how many the tuning has, None for any.

    Raises GripError with the place and, when places are missing, the likeliest grip.
    """
    clean = text.strip()
    if _DASHED.fullmatch(clean):
        signs = clean.split("-")
    elif _PLAIN.fullmatch(clean):
        signs = list(clean)
    else:
        at = next((i for i, c in enumerate(clean) if c not in "xX0123456789-"), 0)
        raise GripError(
            f"{text!r} is not a grip", field="grip", at=at,
            remedy="write one fret a string, bass side first: x35453 or x-10-12-11-12-x",
        )  # fmt: skip
    frets = tuple(None if sign in "xX" else int(sign) for sign in signs)
    _check_places(text, frets, strings)
    for place, fret in enumerate(frets):
        if fret is not None and fret > MAX_FRET:
            raise GripError(
                f"grip {text!r} has fret {fret}, the neck ends at {MAX_FRET}",
                field="grip", at=place, remedy=f"use frets 0 to {MAX_FRET}",
            )  # fmt: skip
    return Grip(frets)


def _check_places(text: str, frets: tuple[int | None, ...], strings: int | None) -> None:
    """Raise GripError unless the grip has as many places as the tuning has strings."""
    have = len(frets)
    if strings is None:
        strings = have if 4 <= have <= MAX_STRINGS else 6
    if have == strings:
        return
    remedy = f"give {strings} places"
    if have < strings:
        full = Grip((None,) * (strings - have) + frets).text
        remedy = f"write x for a string that is not played: {full}"
    raise GripError(
        f"grip {text!r} has {have} places, this tuning has {strings} strings",
        field="grip", at=min(have, strings), remedy=remedy,
    )  # fmt: skip


def soundings(grip: Grip, neck: Neck) -> tuple[Sounding, ...]:
    """Return the sounding strings of a grip on a neck, bass side first.

    Raises GripError if the numbers of strings differ.
    """
    count = len(neck)
    if len(grip) != count:
        _check_places(grip.text, grip.frets, count)
    return tuple(
        [
            Sounding(index, string_number(index, count), fret, neck.midi(index, fret))
            for index, fret in enumerate(grip.frets)
            if fret is not None
        ]
    )


def bass_of(sounds: tuple[Sounding, ...]) -> Sounding:
    """Return the lowest-pitched sounding string; of equals, the one on the bass side."""
    return min(sounds, key=lambda sound: (sound.midi, sound.index))
