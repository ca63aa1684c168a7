"""What a window asks."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

from gripwright.screen.film_layout import MAX_PLATE, MIN_PLATE, Corner

Index = Annotated[int, Meta(ge=0)]
Capo = Annotated[int, Meta(ge=0, le=36)]
Seconds = Annotated[float, Meta(ge=0)]
Level = Annotated[int, Meta(ge=1, le=5)]
Aim = Literal["total", "worst"]
JobId = Annotated[str, Meta(pattern="^[0-9a-f]{8,32}$")]


class Request(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """What a window asks."""


class Nothing(Request, frozen=True):
    """No question: there is one thing to be told."""


class OfLesson(Request, frozen=True):
    """A question about a file in the folder."""

    path: str


class NewLesson(Request, frozen=True):
    """Start a lesson."""

    title: str
    tuning: str


class EditText(Request, frozen=True):
    """Replace characters ``start`` to ``end`` of the text that has the hash ``base_sha256``."""

    path: str
    base_sha256: str
    start: int
    end: int
    text: str


class Intend(Request, frozen=True):
    """Do something meant; ``args`` are those of the intent."""

    path: str
    base_sha256: str
    intent: str
    args: dict[str, Any] = {}


class LongAsked(Request, frozen=True):
    """A question about a file that takes a while; ``job`` is the name that the window gives it."""

    path: str
    job: JobId | None = None


class ArrangeAsked(LongAsked, frozen=True):
    """Ask for the best chain of grips; ``keep`` leaves the teacher's own grips in it."""

    level: Level = 5
    aim: Aim = "total"
    keep: bool = True


class AudioAsked(Request, frozen=True, rename={"from_s": "from", "to_s": "to"}):
    """Ask for a stretch of a recording; ``speed`` in percent, ``grip`` sounded into it."""

    path: str
    from_s: Seconds = 0.0
    to_s: Seconds | None = None
    speed: Annotated[float, Meta(ge=1, le=1000)] = 100.0
    cents: Annotated[float, Meta(ge=-1200, le=1200)] = 0.0
    band: Literal["whole", "bass", "centre", "sides"] = "whole"
    grip: str = ""
    tuning: str | None = None
    capo: Capo | None = None


class TakeIn(Request, frozen=True):
    """Take a recording in under a name; the body is the file."""

    name: str


class SpanAsked(Request, frozen=True):
    """Ask what sounds in a span of a recording."""

    path: str
    from_s: Seconds
    to_s: Seconds
    tuning: str | None = None
    capo: Capo | None = None


class HearAsked(LongAsked, frozen=True):
    """Ask what is played in a recording."""

    tuning: str | None = None
    capo: Capo | None = None


class SyncAsked(LongAsked, frozen=True, kw_only=True):
    """Lay a lesson on a recording, and keep the timing beside the lesson."""

    lesson: str


class Correct(Request, frozen=True):
    """Move the event at place ``number`` of a kept timing."""

    lesson: str
    number: Index
    start_s: Seconds


class ProofAsked(LongAsked, frozen=True):
    """Prove a lesson; with a take, the published cut of it, or captions, against these too."""

    take: str | None = None
    cut: str | None = None
    captions: str | None = None


class BuildAsked(Request, frozen=True):
    """Build the pack of a lesson; ``anyway`` in spite of what is wrong.

    With a take, what follows it is made too, with a ``cut`` in step with that; ``film`` asks for
    its own picture with the grips in a ``corner`` on a ``plate`` of a share of the picture's height
    (none: where it has one, and as suits it). ``background`` is a colour, or a picture in the
    folder.
    """

    path: str
    anyway: bool = False
    take: str | None = None
    cut: str | None = None
    film: bool | None = None
    corner: Corner | None = None
    plate: Annotated[float, Meta(ge=MIN_PLATE, le=MAX_PLATE)] | None = None
    background: str | None = None


class CancelAsked(Request, frozen=True):
    """Cancel a job; without an ``id`` the build that runs."""

    id: str | None = None


class TicketAsked(Request, frozen=True):
    """Ask for the address of one product of the pack that a job built."""

    id: str
    path: str


class NameAsked(Request, frozen=True):
    """Name a grip: the fields of the name command's request line."""

    grip: str
    tuning: str | None = None
    capo: int | None = None
    key: str | None = None
    before: str | None = None
    after: str | None = None
    strict: bool | None = None


class GripsAsked(Request, frozen=True):
    """Ask for grips: the fields of the grips command's request line."""

    symbol: str
    tuning: str | None = None
    capo: int | str | list[Any] | None = None
    hand: float | str | None = None
    scale: float | None = None
    action: str | None = None
    gauge: str | None = None
    pluck: bool | None = None
    frets: str | list[Any] | None = None
    span: int | None = None
    level: int | None = None
    top: str | None = None
    bass: str | None = None
    any_bass: bool | None = None
    rootless: bool | None = None
    require: str | None = None
    forbid: str | None = None
    strings: str | int | None = None
    open: str | None = None
    notes: str | list[Any] | int | None = None
    no_doubling: bool | None = None
    thumb: bool | None = None
    first: int | None = None
    differ: bool | None = None
