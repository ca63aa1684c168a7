"""The open lesson as it is drawn, and what an edit of it answers."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct


class Answer(Struct, frozen=True, kw_only=True):
    """What the bench answers."""

    contract: Literal[1] = 1


class Run(Struct, frozen=True):
    """A stretch of a symbol in one typeface."""

    text: str
    raised: bool


class EventView(Struct, frozen=True):
    """A chord or rest in a bar; ``beats`` long, sounding ``push`` quarters early.

    ``again`` is a further stroke of the chord before; ``wrong`` is what the proof says of it.
    """

    beats: float
    rest: bool
    struck: bool
    push: float
    label: str | None
    writing: str
    words: str
    again: bool
    wrong: str | None
    doubt: bool = False
    symbol: str | None = None
    runs: tuple[Run, ...] = ()
    grip: str | None = None


class BarView(Struct, frozen=True):
    """A bar; ``grid`` is where its beats begin, in beats."""

    metre: str
    repeat_start: bool
    repeat_times: int
    endings: tuple[int, ...]
    lick: bool
    grid: list[float]
    events: list[EventView]


class PartView(Struct, frozen=True):
    """A part; ``key`` only where it differs from the lesson's."""

    name: str
    key: str | None
    bars: list[BarView]


class ProblemView(Struct, frozen=True):
    """Why the file is no whole lesson, and where (from 1)."""

    code: str
    line: int
    column: int
    message: str
    suggestion: str | None


class LessonView(Answer, frozen=True):
    """A lesson as drawn: the text as it is on disk, and what it says as far as it can be read."""

    path: str
    sha256: str
    text: str
    title: str
    whole: bool
    tuning: str
    capo: int | None
    tempo_bpm: float
    metre: str
    key: str | None
    facts: dict[str, str]
    order: list[str]
    parts: list[PartView]
    problems: list[ProblemView]


class Inverse(Struct, frozen=True):
    """The edit that takes an edit back."""

    start: int
    end: int
    text: str


class Changed(Answer, frozen=True):
    """A lesson after an edit, and how to take it back."""

    lesson: LessonView
    inverse: Inverse
