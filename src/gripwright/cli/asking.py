"""Read what the commands about grips share: neck, hand, frets, fixed notes; write a file whole."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from gripwright.errors import InputError, SearchError
from gripwright.neck.effort import Player
from gripwright.neck.geometry import HANDS, MEDIUM, STEEL, Build, Grade, Hand
from gripwright.neck.tuning import STANDARD, Neck, make_neck, parse_tuning
from gripwright.theory.pitch import parse_note, parse_pitch
from gripwright.voicing.limits import DEFAULT_FRETS, DEFAULT_SPAN, Edge, Limits

Command = Callable[..., Any]
GRADES: tuple[Grade, ...] = ("light", "medium", "heavy")
MIN_SCALE_MM, MAX_SCALE_MM = 300.0, 1000.0


_PLAYER_OPTIONS: dict[str, dict[str, Any]] = {
    "--gauge": {"type": click.Choice(GRADES), "help": "Strings; medium where none is given."},
    "--action": {"type": click.Choice(GRADES), "help": "Height of the strings; medium."},
    "--scale": {"type": float, "help": "Length of the strings in mm; 650."},
    "--pluck": {"is_flag": True, "help": "Single strings are plucked: mutes cost nothing."},
    "--hand": {"help": "Wrist crease to middle fingertip in mm, or small, medium, large."},
    "--capo": {"help": "A fret, or one stop a string such as 0,2,2,2,0,0."},
    "--tuning": {"help": f'Open strings, bass first; "{STANDARD.text}" where none is given.'},
}


def player_options(command: Command) -> Command:
    """Add the options that say who plays on what."""
    for flag, settings in _PLAYER_OPTIONS.items():
        command = click.option(flag, **settings)(command)
    return command


_KIND_WORDS = {
    str: "text", int: "a whole number", float: "a number", bool: "true or false", list: "a list",
}  # fmt: skip


def check_fields(request: Mapping[str, Any], kinds: Mapping[str, tuple[type, ...]]) -> None:
    """Raise InputError for a field that is unknown or of the wrong kind; None is no answer."""
    for field, value in request.items():
        if field not in kinds:
            raise InputError(
                f"there is no field {field!r}", field=field, remedy=f"use {', '.join(kinds)}"
            )
        if value is not None and type(value) not in kinds[field]:
            words = " or ".join(_KIND_WORDS[kind] for kind in kinds[field])
            raise InputError(
                f"{field} must be {words}, got {value!r}", field=field, remedy=f"give {words}"
            )


def player_of(request: Mapping[str, Any], neck: Neck | None = None) -> Player:
    """Return the player of a request; ``neck`` where it does not come from the request.

    Raises TuningError or InputError.
    """
    neck = neck or neck_of(request)
    plucks = bool(request.get("pluck"))
    return Player(neck, hand_of(request.get("hand")), build_of(request), plucks)


def build_of(request: Mapping[str, Any]) -> Build:
    """Return the instrument of ``scale``, ``action`` and ``gauge``; raises InputError."""
    scale = request.get("scale")
    scale_mm = STEEL.scale_mm if scale is None else float(scale)
    if not MIN_SCALE_MM <= scale_mm <= MAX_SCALE_MM:
        raise InputError(
            f"strings are {MIN_SCALE_MM:.0f} to {MAX_SCALE_MM:.0f} mm long, got {scale}",
            field="scale", remedy="measure from nut to bridge, such as 650",
        )  # fmt: skip
    return Build(scale_mm, action=_grade(request, "action"), gauge=_grade(request, "gauge"))


def _grade(request: Mapping[str, Any], name: str) -> Grade:
    given = request.get(name) or "medium"
    for grade in GRADES:
        if grade == given:
            return grade
    raise InputError(
        f"{name} is {', '.join(GRADES)}, got {given!r}", field=name,
        remedy=f"use one of {', '.join(GRADES)}",
    )  # fmt: skip


def neck_of(request: Mapping[str, Any]) -> Neck:
    """Return the neck of ``tuning`` and ``capo``; raises TuningError or InputError."""
    capo = request.get("capo") or 0
    stops: int | tuple[int, ...]
    if isinstance(capo, int):
        stops = capo
    elif isinstance(capo, list) and all(type(stop) is int for stop in capo):
        stops = tuple(capo)
    elif isinstance(capo, str) and re.fullmatch(r"\d+([,\s]+\d+)*", capo.strip()):
        numbers = tuple(int(number) for number in re.findall(r"\d+", capo))
        stops = numbers[0] if len(numbers) == 1 else numbers
    else:
        raise InputError(
            f"{capo!r} is not a capo", field="capo",
            remedy="give a fret, or one stop a string such as 0,2,2,2,0,0",
        )  # fmt: skip
    return make_neck(parse_tuning(request.get("tuning") or STANDARD.text), stops)


def hand_of(value: Any) -> Hand:
    """Return a hand from mm or the name of a preset; raises InputError."""
    if value is None:
        return MEDIUM
    if isinstance(value, str) and value.strip().lower() in HANDS:
        return HANDS[value.strip().lower()]
    try:
        return Hand(float(value))
    except (TypeError, ValueError) as error:
        raise InputError(
            f"{value!r} is not the size of a hand", field="hand",
            remedy=f"give millimetres such as 184, or one of {', '.join(HANDS)}",
        ) from error  # fmt: skip


def two_numbers(value: Any, field: str, default: tuple[int, int]) -> tuple[int, int]:
    """Return a range such as ``0-15``, or one number as both ends; raises InputError."""
    if value is None:
        return default
    if isinstance(value, Sequence) and not isinstance(value, str):
        value = "-".join(map(str, value))
    match = re.fullmatch(r"\s*(\d{1,3})(?:\s*(?:-|–|to|\.\.)\s*(\d{1,3}))?\s*", str(value))
    if not match:
        raise SearchError(
            f"{value!r} is not a range of {field}", field=field,
            remedy=f"give two numbers from 0 up, such as {default[0]}-{default[1]}",
        )  # fmt: skip
    return int(match[1]), int(match[2] or match[1])


def whole(value: Any, field: str, default: int) -> int:
    """Return a whole number that `check_fields` has passed, or the default."""
    return default if value is None else int(value)


def edge_of(value: Any, field: str) -> Edge | None:
    """Return a fixed highest or lowest note, ``E`` in any octave or ``E4``; raises NoteError."""
    if not value:
        return None
    if re.search(r"\d", str(value)):
        pitch = parse_pitch(str(value))
        return Edge(pitch.midi, pitch.name, exact=True)
    note = parse_note(str(value))
    return Edge(note.pc, note.name)


def base_limits(request: Mapping[str, Any]) -> Limits:
    """Return the limits that every search has: frets, span, level."""
    return Limits(
        frets=two_numbers(request.get("frets"), "frets", DEFAULT_FRETS),
        span=whole(request.get("span"), "span", DEFAULT_SPAN),
        level=whole(request.get("level"), "level", 5),
    )


def write_whole(path: Path, text: str) -> None:
    """Write a text file whole or not at all; raises InputError."""
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_text(text, encoding="utf-8", newline="")
        os.replace(beside, path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise InputError(
            f"{path} cannot be written: {error.strerror}", field="output", at=str(path),
            remedy="give a path in a folder that exists",
        ) from error  # fmt: skip
