"""What a window asks of the shelf, and what the bench answers."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from gripwright.bench.wire.lesson import Answer
from gripwright.bench.wire.requests import JobId, Level, Request


class ShelveAsked(Request, frozen=True):
    """Put the lessons of the folder on the shelf; ``job`` is the name that the window gives it."""

    job: JobId | None = None


class FindAsked(Request, frozen=True):
    """Find where something was taught; ``moved`` at any fret, on any root."""

    query: str
    moved: bool = False


class NextAsked(Request, frozen=True):
    """Ask what the next lesson could teach, or what is new in the lesson at ``path``."""

    path: str | None = None
    level: Level | None = None


class ShelfTold(Answer, frozen=True):
    """How many lessons are on the shelf, and which of the folder are not there as they are now."""

    lessons: int
    waiting: list[str]


class Shelved(Answer, frozen=True):
    """What was put on the shelf; ``refused`` are files that are no whole lessons."""

    lessons: int
    added: int
    updated: int
    unchanged: int
    refused: list[str]


class FoundPlace(Struct, frozen=True):
    """Whether the file of a place lies in the opened folder; ``path`` is then its path there."""

    opens: bool


class FindBeside(Struct, frozen=True):
    """What the shelf's find answers, and which places can be opened."""

    found: list[FoundPlace]


class HabitAsked(Struct, frozen=True):
    """How a habit is said, and the question that finds its places, nothing where none does."""

    said: str
    query: str
    moved: bool


class ReportBeside(Struct, frozen=True):
    """What the shelf's report answers, and how to ask where each habit is taught."""

    qualities: list[HabitAsked]
    tensions: list[HabitAsked]
    grips: list[HabitAsked]
    shapes: list[HabitAsked]
    tops: list[HabitAsked]
    moves: list[HabitAsked]
    remarks: list[HabitAsked]
    keys: list[HabitAsked]
    tunings: list[HabitAsked]


class Brings(Struct, frozen=True):
    """What of one kind a lesson brings that no other has, and how much it has again."""

    name: Literal["qualities", "grips", "shapes", "devices"]
    new: list[str]
    again: int


class NextBeside(Struct, frozen=True):
    """What the shelf's next answers, in words."""

    brings: list[Brings]
