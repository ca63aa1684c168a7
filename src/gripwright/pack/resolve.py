"""Grips for the chords that a lesson only names, so that every stage sees a lesson with grips.

The search chooses one chain through the symbols in the order in which they first come by, for
the level that the lesson states. It is slow beside a build that only sets prose anew, so what
it found is kept in the cache.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from importlib import import_module

import msgspec

from gripwright.lesson.model import Chord, Finger, Lesson
from gripwright.lesson.unroll import played_events
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.pack.cache import Cache
from gripwright.pack.digest import code_digest, digest
from gripwright.pack.stage import Made
from gripwright.theory.symbol import ChordSymbol

USUAL_LEVEL = 3
_FILE = "grips.json"


@dataclass(frozen=True, slots=True)
class Choice:
    """A grip that was chosen for a symbol, with its fingers, bass side first."""

    grip: Grip
    fingers: tuple[Finger | None, ...]


def with_grips(lesson: Lesson, cache: Cache | None = None) -> Lesson:
    """Return the lesson with a grip for every chord that has a symbol.

    A chord that is neither a symbol nor a grip stays as it is, and silent. Raises SearchError
    where a symbol has no grip on this neck at this level.
    """
    played = (event.event.chord for event in played_events(lesson))
    wanting = [
        chord.symbol for chord in (*played, *lesson.grips)
        if chord is not None and chord.grip is None and chord.symbol is not None
    ]  # fmt: skip
    symbols = tuple(dict.fromkeys(wanting))
    if not symbols:
        return lesson
    level = _level(lesson)
    found = _kept(symbols, lesson.neck, level, cache)
    return _filled(lesson, dict(zip(symbols, found, strict=True)))


def _level(lesson: Lesson) -> int:
    text = lesson.fact("level")
    return int(text) if text in ("1", "2", "3", "4", "5") else USUAL_LEVEL


def _kept(
    symbols: Sequence[ChordSymbol], neck: Neck, level: int, cache: Cache | None
) -> list[Choice]:
    if cache is None:
        return _chosen(symbols, neck, level)
    key = digest((code_digest(), "grips", [symbol.text for symbol in symbols], neck, level))
    entry = cache.find(key)
    if entry:
        return msgspec.json.decode(entry[0].place.read_bytes(), type=list[Choice])
    found = _chosen(symbols, neck, level)
    with cache.half() as folder:
        (folder / _FILE).write_bytes(msgspec.json.encode(found))
        cache.put(key, (Made(_FILE, "grips"),), folder)
    return found


def _chosen(symbols: Sequence[ChordSymbol], neck: Neck, level: int) -> list[Choice]:
    """Ask the search, loaded only here: most lessons give all their grips."""
    found = import_module("gripwright.pack.chooser").choose(symbols, neck, level)
    return [Choice(grip, fingers) for grip, fingers in found]


def _filled(lesson: Lesson, chosen: dict[ChordSymbol, Choice]) -> Lesson:
    def fill(chord: Chord | None) -> Chord | None:
        if chord is None or chord.grip or chord.symbol not in chosen:
            return chord
        found = chosen[chord.symbol]
        return replace(chord, grip=found.grip, fingers=chord.fingers or found.fingers)

    parts = tuple(
        replace(part, bars=tuple(
            replace(bar, chords=tuple(replace(e, chord=fill(e.chord)) for e in bar.chords))
            for bar in part.bars
        ))
        for part in lesson.parts
    )  # fmt: skip
    grips = tuple(chord for entry in lesson.grips if (chord := fill(entry)) is not None)
    return replace(lesson, parts=parts, grips=grips)
