"""What a teacher asks of a pack beside the lesson, and the settings that follow from it.

What opens recordings, films and pictures is loaded only where one is given, so that a plain
build starts fast.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from gripwright.errors import InputError
from gripwright.lesson.model import Lesson
from gripwright.pack.cache import Cache
from gripwright.pack.digest import file_digest
from gripwright.pack.stage import Settings, TakeFacts
from gripwright.screen.film_layout import DEFAULT_CORNER, Corner


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is asked: None where nothing is said.

    ``take`` is a recording of the lesson, ``cut`` the published cut of it, ``film`` whether its own
    picture is wanted with the grips in a ``corner`` on a plate of ``plate_size``; ``background`` is
    a colour or the path of a picture.
    """

    take: Path | None = None
    cut: Path | None = None
    film: bool | None = None
    corner: Corner | None = None
    plate_size: float | None = None
    background: str | None = None
    alpha: bool = False
    left_handed: bool = False
    slow: Fraction = Fraction(7, 10)
    loudness_lufs: float = -16.0


@dataclass(frozen=True, slots=True)
class Settled:
    """The settings of a build, and the files from outside that they tell of."""

    settings: Settings
    recording: Path | None
    picture: Path | None


def settled(chosen: Chosen, lesson: Lesson, source: Path, cache: Cache) -> Settled:
    """Return what a build needs; ``source`` is the lesson's file.

    Raises InputError for what does not go together, or cannot be used.
    """
    background, picture = _background(chosen.background)
    _complain_without_take(chosen)
    facts = _take_facts(chosen, lesson, source, cache)
    _complain_without_film(chosen, facts)
    settings = Settings(
        left_handed=chosen.left_handed, loudness_lufs=chosen.loudness_lufs, slow=chosen.slow,
        take=facts, alpha=chosen.alpha, background=background, film=chosen.film is not False,
        corner=chosen.corner or DEFAULT_CORNER, plate=chosen.plate_size,
    )  # fmt: skip
    return Settled(settings, chosen.cut or chosen.take, picture)


def _take_facts(chosen: Chosen, lesson: Lesson, source: Path, cache: Cache) -> TakeFacts | None:
    """Listen to the take."""
    if chosen.take is None:
        return None
    listening = importlib.import_module("gripwright.pack.take")
    filmed = chosen.film is not False
    facts = listening.take_facts(lesson, source, chosen.take, cache, cut=chosen.cut, film=filmed)
    assert isinstance(facts, TakeFacts)
    return facts


def _background(text: str | None) -> tuple[str | None, Path | None]:
    """Return what the settings say of a background, and its file where it is a picture."""
    if text is None:
        return None, None
    ground = importlib.import_module("gripwright.screen.ground")
    colour: str | None = ground.colour_of(text)
    if colour:
        return colour, None
    picture = Path(text)
    ground.check_picture(picture)
    return file_digest(picture), picture


def _complain_without_take(chosen: Chosen) -> None:
    """Raise InputError where an option needs a take and there is none."""
    asked = _asked(chosen, "cut", "film", "corner", "plate_size", "alpha")
    if asked and chosen.take is None:
        raise InputError(
            f"--{asked} needs a take, and none is given", field=asked,
            remedy="name the recording with --take",
        )  # fmt: skip


def _complain_without_film(chosen: Chosen, facts: TakeFacts | None) -> None:
    """Raise InputError where a film is asked for and the take has no picture."""
    asked = _asked(chosen, "film", "corner", "plate_size")
    source = chosen.cut or chosen.take
    if asked and source and (facts is None or facts.film is None):
        raise InputError(
            f"--{asked} is about the take's own picture, and {source.name} has none",
            field=asked, at=str(source), remedy="give the film itself with --take, or leave "
            f"--{asked} out",
        )  # fmt: skip


def _asked(chosen: Chosen, *fields: str) -> str:
    """Return the option of the first of some fields that asks for something, else nothing."""
    return next((name.replace("_", "-") for name in fields if getattr(chosen, name)), "")
