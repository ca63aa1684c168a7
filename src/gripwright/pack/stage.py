"""What a stage is: one product of a pack as a pure function of declared inputs.

A stage module has one function, ``make(job) -> tuple[Made, ...]``. It sees the lesson through
the view that the registry declares for it (what the view leaves out stands at its default),
the declared settings, and the files of the stages it comes after; it writes files below
``job.folder`` and says what they are. Nothing else may reach it: no clock, no environment.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from gripwright.dsp.film_facts import FilmFacts
from gripwright.lesson.model import Lesson
from gripwright.screen.film_layout import DEFAULT_CORNER, Corner
from gripwright.screen.take import TakeEvent

TAKE, BACKGROUND = "take", "background"
ENGRAVING, TAKE_SOUND = "engraving.json", "take-sound.m4a"
SLOW_PERCENTS = (50, 70, 85)


@dataclass(frozen=True, slots=True)
class TakeFacts:
    """A take: the hash of its bytes, how long it lasts, where the lesson's events fall in it.

    ``film`` is its picture, None where it has none.
    """

    sha256: str
    seconds: float
    events: tuple[TakeEvent, ...]
    film: FilmFacts | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """What a teacher may choose about a pack beside the lesson.

    ``slow`` is the tempo of the slow play-through as a share of the full one; ``take`` is a
    recording of the teacher playing the lesson, whose file is given to stages as `TAKE`;
    ``alpha`` asks for clips with alpha of it. ``background`` lies under the overlays: a colour,
    ``#RRGGBB``, or the SHA-256 of a picture, whose file is given to stages as `BACKGROUND`.
    ``film`` asks for the take's own picture, where it has one, with the grips in a ``corner`` on a
    plate of a share of the picture's height (None: as the picture's shape suggests).
    """

    left_handed: bool = False
    loudness_lufs: float = -16.0
    slow: Fraction = Fraction(7, 10)
    take: TakeFacts | None = None
    alpha: bool = False
    background: str | None = None
    film: bool = True
    corner: Corner = DEFAULT_CORNER
    plate: float | None = None


@dataclass(frozen=True, slots=True)
class Made:
    """A file that a stage made: its path in the pack (with ``/``), what it is, how long it is.

    ``supporter`` says whether the zip for supporters holds it, ``inside`` that it is for other
    stages only and no part of the pack.
    """

    path: str
    kind: str
    seconds: float | None = None
    supporter: bool = True
    inside: bool = False


@dataclass(frozen=True, slots=True)
class Job:
    """All that a stage may see. ``given`` maps the pack paths of earlier products to files.

    A stage that takes long may tell ``told`` how far it is, 0 to 1.
    """

    lesson: Lesson
    settings: Mapping[str, Any]
    given: Mapping[str, Path]
    folder: Path
    told: Callable[[float], None] = lambda share: None

    def place(self, path: str) -> Path:
        """Return where to write the product of that path; its folder is there."""
        place = self.folder / path
        place.parent.mkdir(parents=True, exist_ok=True)
        return place


@dataclass(frozen=True, slots=True)
class Stage:
    """A row of the registry.

    ``module`` is the name of the module in `pack.stages`, loaded only when the stage has to
    run; ``options`` are passed to it as settings and tell stages of one module apart;
    ``settings`` are the fields of `Settings` that it reads; ``after`` the stages whose files
    it reads. ``weight`` is about how many seconds a minute of music costs.
    """

    name: str
    module: str
    view: Callable[[Lesson], Lesson]
    options: tuple[tuple[str, Any], ...] = ()
    settings: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    weight: float = 0.1

    def chosen(self, settings: Settings) -> dict[str, Any]:
        """Return the options and the settings that the stage may see."""
        return dict(self.options) | {name: getattr(settings, name) for name in self.settings}
