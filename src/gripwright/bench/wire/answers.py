"""What the bench answers, beside the lesson itself."""

from __future__ import annotations

from typing import Any, Literal

from msgspec import UNSET, Struct, UnsetType

from gripwright.bench.wire.lesson import Answer, LessonView, Run
from gripwright.bench.wire.requests import Index


class LessonName(Struct, frozen=True):
    """A lesson by its path and title."""

    path: str
    title: str


class NothingBeside(Struct, frozen=True):
    """Nothing beside what the command answers."""


class FolderTold(Answer, frozen=True):
    """What is in the folder."""

    lessons: list[LessonName]
    takes: list[str]
    captions: list[str]
    pictures: list[str]


class Started(Answer, frozen=True):
    """Where a new file stands."""

    path: str


class NamePlace(Struct, frozen=True):
    """A tone with its place on the neck in words."""

    place: str


class NameReading(Struct, frozen=True):
    """A reading with its symbol to be typeset."""

    runs: list[Run]
    tones: list[NamePlace]


class Hold(Struct, frozen=True):
    """How a hand holds a grip, or the trouble with it."""

    words: str
    trouble: str


class NameBeside(Struct, frozen=True):
    """What the name command answers, and beside it what is drawn."""

    readings: list[NameReading]
    hold: Hold


class GripSvg(Struct, frozen=True):
    """A grip with its diagram."""

    svg: str


class GripsBeside(Struct, frozen=True):
    """What the grips command answers, with diagrams."""

    grips: list[GripSvg]


class ExplainBeside(Struct, frozen=True):
    """What the explain command answers, with part, bar and event of each chord."""

    places: list[tuple[Index, Index, Index]]
    sha256: str


class ProofBeside(Struct, frozen=True):
    """What the proof command answers, and the text that it is about."""

    sha256: str


class SyncEvent(Struct, frozen=True):
    """An event with its grip."""

    grip: str | None


class SyncBeside(Struct, frozen=True):
    """What the sync command answers, with the grip of each event."""

    events: list[SyncEvent]
    sha256: str


class ArrangedChord(Struct, frozen=True):
    """A chord before and after; ``effort`` 0 to 1."""

    symbol: str
    before: str | None
    grip: str
    effort: float


class Move(Struct, frozen=True):
    """What the hand does to the next chord."""

    words: str


class Loss(Struct, frozen=True):
    """What an easier chord leaves out."""

    symbol: str
    text: str


class Arranged(Answer, frozen=True):
    """The best chain of grips for a lesson, one a chord in the order of writing."""

    sha256: str
    chords: list[ArrangedChord]
    effort: float
    moves: list[Move]
    lost: list[Loss]
    cautions: list[str]


class TuningFit(Struct, frozen=True):
    """A tuning with capo and stops, its effort 0 to 1, and the chords that it cannot reach."""

    tuning: str
    capo: int | None
    stops: list[int]
    effort: float
    unreached: list[str]


class TuningsTold(Answer, frozen=True):
    """Tunings for a lesson, best first."""

    sha256: str
    tunings: list[TuningFit]


class PlayedEvent(Struct, frozen=True):
    """When an event of the chart sounds."""

    start_s: float
    part: Index
    bar: Index
    event: Index


class Played(Answer, frozen=True):
    """What to play: (start_s, end_s, midi, velocity 0 to 1) of each sound."""

    sha256: str
    sounds: list[tuple[float, float, int, float]]
    events: list[PlayedEvent]
    seconds: float


class TakeTold(Answer, frozen=True):
    """A recording: its length, its own rate in hertz, and peaks to draw, 0 to 1."""

    seconds: float
    peaks: list[float]
    rate: int


class TimedView(Struct, frozen=True):
    """An event of a kept timing."""

    chord: str
    start_s: float
    end_s: float
    by: Literal["sync", "hand"]


class Corrected(Answer, frozen=True):
    """A kept timing after a correction."""

    events: list[TimedView]


class Product(Struct, frozen=True):
    """A file of a pack."""

    path: str
    kind: str
    bytes: int


class Pack(Struct, frozen=True):
    """A pack that was built: its folder and what is in it."""

    folder: str
    products: list[Product]


JobKind = Literal["build", "hear", "sync", "arrange", "tunings", "proof", "shelf"]


class Job(Struct):
    """Long work as the windows see it: what it is about, ``done`` of ``total``, how it ended.

    ``result`` is what a build gave; other work is answered to the window that asked for it.
    """

    id: str
    kind: JobKind = "build"
    path: str = ""
    stage: str = "starting"
    done: float = 0
    total: float = 1
    state: Literal["running", "done", "failed", "stopped"] = "running"
    message: str | None = None
    result: Pack | None = None


class JobTold(Answer, frozen=True):
    """A job, or the build that ran last."""

    job: Job | None


class Ticket(Answer, frozen=True):
    """The address of a product, as long as the bench runs."""

    address: str


class Trouble(Struct, frozen=True):
    """Why not: a stable code, words, the field and place at fault, and what would be right."""

    code: str
    message: str
    field: str | None
    at: int | str | None
    remedy: str | None
    problems: list[Any] | UnsetType = UNSET


class Refusal(Answer, frozen=True):
    """A refusal; ``lesson`` is the file as it is now where a change came too late."""

    error: Trouble
    lesson: LessonView | UnsetType = UNSET
