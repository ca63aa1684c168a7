"""What a window means to do to the chart: the arguments of each intent."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from gripwright.bench.wire.requests import Aim, Index, Level, Request


class ChordAt(Request, frozen=True):
    """A chord by its place."""

    part: Index
    bar: Index
    event: Index


class WriteChord(ChordAt, frozen=True):
    """A chord and what to write there: a symbol, a grip, or both."""

    writing: str


class Stretch(ChordAt, frozen=True):
    """A chord, and beats to give or take, or the beat of its bar where it shall end."""

    beats: int | None = None
    to_beat: Index | None = None


class Carry(ChordAt, frozen=True):
    """A chord and the beat to carry it to; ``copy`` leaves the first."""

    to_part: Index
    to_bar: Index
    to_beat: Index
    copy: bool = False


class MoveBy(ChordAt, frozen=True):
    """A chord and how many chords to pass, backward below 0."""

    by: int


class Push(ChordAt, frozen=True):
    """A chord and the marks of its push."""

    marks: Annotated[int, Meta(ge=0)]


class Append(Request, frozen=True):
    """A chord to write at the end of a part."""

    part: Index
    writing: str


class BarAt(Request, frozen=True):
    """A bar by its place."""

    part: Index
    bar: Index


class AddPart(Request, frozen=True):
    """The name of a new part."""

    name: str


class SetFront(Request, frozen=True):
    """A fact of the lesson and its value, nothing to take it out."""

    field: str
    value: str


class TakeArrangement(Request, frozen=True):
    """The arrangement to write into the chart: what was asked for it."""

    level: Level = 5
    aim: Aim = "total"
    keep: bool = True
