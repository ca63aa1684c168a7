"""What a search is held to, beside what must sound: place, reach, strings, register."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from gripwright.errors import SearchError
from gripwright.neck.tuning import MAX_FRET, Neck

DEFAULT_FRETS = (0, 15)
DEFAULT_SPAN = 4
# Frets that ask more than this of the whole hand (`geometry.reach_share`) are out of reach.
MOST_REACH = 1.2


@dataclass(frozen=True, slots=True)
class Limits:
    """Where a grip may lie and how it may sound.

    ``frets`` are the lowest and highest fret, counted from the capo (0 is the open string);
    ``span`` the number of frets from the lowest to the highest pressed one, both counted, from
    the nut. ``top`` and ``bass`` fix the highest and lowest sounding note: a MIDI number where
    ``exact``, else a pitch class. ``strings`` are the indexes of exactly the strings that
    sound. ``open_strings`` is ``any``, ``none`` or ``some``; ``notes`` the fewest and most
    strings that sound; ``doubling`` False lets no pitch class sound twice. ``level`` is 1 to 5
    (`levels`).
    """

    frets: tuple[int, int] = DEFAULT_FRETS
    span: int = DEFAULT_SPAN
    top: Edge | None = None
    bass: Edge | None = None
    strings: frozenset[int] | None = None
    open_strings: Literal["any", "none", "some"] = "any"
    notes: tuple[int, int] = (2, 8)
    doubling: bool = True
    level: int = 5


@dataclass(frozen=True, slots=True)
class Edge:
    """A fixed highest or lowest note: a MIDI number, or a pitch class in any octave."""

    number: int
    text: str
    exact: bool = False

    def fits(self, midi: int) -> bool:
        """Tell whether a sounding pitch is the note."""
        return midi == self.number if self.exact else midi % 12 == self.number % 12


def check_limits(limits: Limits, neck: Neck) -> None:
    """Raise SearchError for limits that no neck can have."""
    low, high = limits.frets
    _ensure(
        0 <= low <= high <= MAX_FRET, "frets", f"frets {low} to {high} are not on the neck",
        f"give two frets from 0 to {MAX_FRET}, the lower first, such as 0-15",
    )  # fmt: skip
    _ensure(
        1 <= limits.span <= MAX_FRET, "span", f"a span is 1 to {MAX_FRET} frets, got {limits.span}",
        "count the frets from the lowest pressed to the highest, both included, such as 4",
    )  # fmt: skip
    _ensure(
        1 <= limits.level <= 5, "level", f"a level is 1 to 5, got {limits.level}",
        "give 1 for a beginner to 5 for everything",
    )  # fmt: skip
    _ensure(
        1 <= limits.notes[0] <= limits.notes[1], "notes",
        f"{limits.notes[0]} to {limits.notes[1]} sounding strings cannot be",
        "give the fewest and the most, such as 3-4",
    )  # fmt: skip
    wrong = sorted((limits.strings or frozenset()) - set(range(len(neck))))
    _ensure(
        not wrong, "strings", f"this tuning has strings 1 to {len(neck)}",
        "name strings that it has, such as 4321",
    )  # fmt: skip


def _ensure(fits: bool, field: str, message: str, remedy: str) -> None:
    if not fits:
        raise SearchError(message, field=field, remedy=remedy)
