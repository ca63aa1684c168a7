"""What the stream tells the windows, one event a line."""

from __future__ import annotations

from msgspec import Struct

from gripwright.bench.wire.answers import Job


class Event(Struct, frozen=True, tag_field="kind"):
    """A line of the stream."""


class Hello(Event, frozen=True, tag="hello"):
    """The window is being told from now on; what came before it has to read."""


class Beat(Event, frozen=True, tag="beat"):
    """Nothing happened; the bench is there."""


class LessonChanged(Event, frozen=True, tag="changed"):
    """The text of a lesson is another."""

    path: str
    sha256: str


class FolderChanged(Event, frozen=True, tag="folder"):
    """Files came or went."""


class Reload(Event, frozen=True, tag="reload"):
    """The window fell too far behind to be told all: it has to read again."""


class JobChanged(Event, frozen=True, tag="job"):
    """A build went on, or ended."""

    job: Job


AnyEvent = Hello | Beat | LessonChanged | FolderChanged | Reload | JobChanged
