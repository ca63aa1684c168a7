"""Which part of the neck a grip diagram shows, and where on it each string is held.

Frets here are *places*: counted from the stop that all strings share (the nut, or a full
capo), so that the longer stops of a partial capo are drawn where they are.
"""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.errors import GripError
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck, string_number


@dataclass(frozen=True, slots=True)
class Held:
    """One string of the drawing: ``place`` None is not played, 0 open at the nut or capo.

    ``open_`` is also true of a string that rings from a stop of a partial capo.
    """

    index: int
    string: int
    place: int | None
    open_: bool


@dataclass(frozen=True, slots=True)
class Frame:
    """The window: ``first`` is the first fret shown, 1 at the nut; ``count`` how many."""

    first: int
    count: int
    strings: tuple[Held, ...]
    stops: tuple[int, ...]
    capo: int

    @property
    def at_nut(self) -> bool:
        """Return whether the top line is the nut (or the capo)."""
        return self.first == 1


LEAST = 4


def frame_of(grip: Grip, neck: Neck) -> Frame:
    """Return the window of a grip: four frets, or as many as it spans.

    It starts at the nut where the grip reaches no further than fret 4, or than 5 with an open
    string. Raises GripError if grip and neck have different numbers of strings.

    >>> from gripwright.neck.grip import parse_grip
    >>> from gripwright.neck.tuning import STANDARD_NECK
    >>> frame = frame_of(parse_grip("x-10-12-11-12-x"), STANDARD_NECK)
    >>> frame.first, frame.count
    (10, 4)
    """
    if len(grip) != len(neck):
        raise GripError(
            f"grip {grip.text!r} has {len(grip)} places, this tuning has {len(neck)} strings",
            field="grip", remedy=f"give {len(neck)} places",
        )  # fmt: skip
    base = min(neck.stops)
    stops = tuple(stop - base for stop in neck.stops)
    strings = tuple(
        Held(index, string_number(index, len(grip)),
             None if fret is None else fret + stops[index], fret == 0)
        for index, fret in enumerate(grip.frets)
    )  # fmt: skip
    places = [held.place for held in strings if held.place]
    first, last = (min(places), max(places)) if places else (1, 1)
    has_open = any(held.place == 0 for held in strings)
    if last <= LEAST or (last <= LEAST + 1 and (has_open or first == 1)):
        first = 1
    return Frame(first, max(LEAST, last - first + 1), strings, stops, base)
