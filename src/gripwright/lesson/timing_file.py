"""The timing kept beside a lesson: ``NAME.timing.json``.

It says where each event of the chart falls in one take, which is known by its SHA-256. Places
that were set by hand are marked so, and survive a new sync of the same take. ``version`` 1:
fields are only ever added to.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

import msgspec

from gripwright.errors import InputError

VERSION = 1


class TimedEvent(msgspec.Struct, frozen=True, omit_defaults=True):
    """One event as played: its written place, its seconds, and who put it there.

    ``visit`` counts how often the part came by, ``pass_`` the passes of its repeats, ``bar`` is
    1-based in the part, ``beat`` 1-based in the bar. ``full_s`` is when its last string sounds.
    """

    index: int
    part: str
    visit: int
    pass_: int = msgspec.field(name="pass")
    bar: int
    beat: float
    chord: str
    start_s: float
    full_s: float
    end_s: float
    confidence: float
    by: Literal["sync", "hand"] = "sync"


class Timing(msgspec.Struct, frozen=True):
    """The timing of one take."""

    version: int
    take: str
    take_sha256: str
    duration_s: float
    tuning_cents: float
    tempo_bpm: float
    events: tuple[TimedEvent, ...]


def timing_path(lesson: Path) -> Path:
    """Return where the timing of a lesson file lies.

    >>> timing_path(Path("songs/weir.md")).name
    'weir.timing.json'
    """
    return lesson.with_suffix(".timing.json")


def read_timing(path: Path) -> Timing:
    """Read a timing file; raises InputError with the place for one that does not fit."""
    remedy = "run sync with --keep again, or move the file away"
    try:
        timing = msgspec.json.decode(path.read_bytes(), type=Timing)
    except OSError as error:
        raise InputError(
            f"{path.name} cannot be read: {error.strerror}", field="timing", at=str(path),
            remedy="check that it is a file that you may read",
        ) from error  # fmt: skip
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise InputError(
            f"{path.name} is no timing file: {error}", field="timing", at=str(path), remedy=remedy
        ) from error
    if timing.version > VERSION:
        raise InputError(
            f"{path.name} has version {timing.version}, this program knows {VERSION}",
            field="timing", at=str(path), remedy="use a newer Gripwright",
        )  # fmt: skip
    return timing


def timing_bytes(timing: Timing) -> bytes:
    """Return what a timing file holds."""
    return msgspec.json.format(msgspec.json.encode(timing), indent=1) + b"\n"


def write_timing(path: Path, timing: Timing) -> None:
    """Write a timing file beside, then rename: a failure leaves the old one whole."""
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_bytes(timing_bytes(timing))
        os.replace(beside, path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise InputError(
            f"{path.name} cannot be written: {error.strerror}", field="timing", at=str(path),
            remedy="check that the folder exists and has room",
        ) from error  # fmt: skip


def with_correction(timing: Timing, number: int, start_s: float) -> Timing:
    """Return the timing with its event at place ``number`` moved by hand.

    The event before it ends there. Raises InputError where the order would break.
    """
    events = list(timing.events)
    if not 0 <= number < len(events):
        raise InputError(
            f"there is no event {number}; the take has {len(events)}", field="event", at=number,
            remedy=f"give one from 0 to {len(events) - 1}",
        )  # fmt: skip
    low = events[number - 1].start_s if number else 0.0
    if not low < start_s < events[number].end_s:
        raise InputError(
            f"event {number} cannot start at {start_s:.3f} s: it lies between {low:.3f} and "
            f"{events[number].end_s:.3f} s", field="start_s", at=number,
            remedy="move its neighbours first",
        )  # fmt: skip
    moved = events[number]
    full_s = min(start_s + moved.full_s - moved.start_s, moved.end_s)
    events[number] = msgspec.structs.replace(
        moved, start_s=start_s, full_s=full_s, confidence=1.0, by="hand"
    )
    if number and events[number - 1].end_s > moved.start_s - 0.002:
        events[number - 1] = msgspec.structs.replace(events[number - 1], end_s=start_s)
    return msgspec.structs.replace(timing, events=tuple(events))


def kept(old: Timing | None, new: Timing) -> Timing:
    """Return a new timing with the corrections by hand of an old one of the same take.

    An event is the same when part, visit, pass, bar, beat and its turn among equals are.
    """
    if old is None or old.take_sha256 != new.take_sha256:
        return new
    by_hand = {
        key: event for key, event in zip(_keys(old), old.events, strict=True) if event.by == "hand"
    }
    timing = new
    for number, key in enumerate(_keys(new)):
        if key in by_hand:
            try:
                timing = with_correction(timing, number, by_hand[key].start_s)
            except InputError:
                continue  # the chart has changed about it; sync's own place is the better guess
    return timing


def _keys(timing: Timing) -> list[tuple[str, int, int, int, float, int]]:
    seen: dict[tuple[str, int, int, int, float], int] = {}
    keys = []
    for event in timing.events:
        place = (event.part, event.visit, event.pass_, event.bar, event.beat)
        seen[place] = seen.get(place, 0) + 1
        keys.append((*place, seen[place]))
    return keys
