"""What a lesson expects to hear: its struck chords in a row, each with its pitches and length.

Rests and chords that only ring on have no stroke of their own; they lengthen the one before.
A run is one visit to one part with its repeats unrolled: the unit that a player may skip or
play again.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from gripwright.beats import Quarters
from gripwright.errors import InputError
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.perform import grip_of
from gripwright.lesson.unroll import Played, played_events
from gripwright.neck.grip import Grip, soundings
from gripwright.theory.pitch import Note


@dataclass(frozen=True, slots=True)
class Expected:
    """A struck chord: the index of its event, where it sounds and until the next one does.

    ``midi`` is what the grip sounds; empty where the chart gives no grip and no symbol.
    ``run`` counts visits to parts; ``exact`` is False where only a symbol is known.
    """

    index: int
    start: Quarters
    length: Quarters
    midi: tuple[int, ...]
    run: int
    exact: bool


@dataclass(frozen=True, slots=True)
class Chart:
    """The chart of a lesson for hearing: events, struck chords, the part of each run."""

    events: tuple[Played, ...]
    expected: tuple[Expected, ...]
    runs: tuple[str, ...]
    run_starts: tuple[Quarters, ...]


def chart_of(lesson: Lesson) -> Chart:
    """Return what a lesson expects; raises InputError where it has no chord to listen for."""
    events = played_events(lesson)
    grips = {chord.name: chord.grip for chord in lesson.grips if chord.grip}
    runs: list[tuple[str, int]] = []
    struck: list[tuple[Played, int, tuple[int, ...], bool]] = []
    for played in events:
        visit = (played.where.part, played.where.visit)
        if not runs or runs[-1] != visit:
            runs.append(visit)
        chord = played.event.chord
        if chord is not None and played.event.struck:
            midi, exact = _pitches(chord, grips, lesson)
            struck.append((played, len(runs) - 1, midi, exact))
    if not any(midi for _, _, midi, _ in struck):
        raise InputError(
            "the lesson has no chord to listen for", field="lesson",
            remedy="write its chart first, or let hear draft one from the take",
        )  # fmt: skip
    starts = _run_starts(events, runs)
    expected = []
    for place, (played, run, midi, exact) in enumerate(struck):
        last = place + 1 == len(struck)
        end = events[-1].end if last else struck[place + 1][0].sounds_at
        length = max(end - played.sounds_at, Fraction(1, 16))
        expected.append(Expected(played.index, played.sounds_at, length, midi, run, exact))
    return Chart(events, tuple(expected), tuple(part for part, _ in runs), starts)


def _run_starts(events: tuple[Played, ...], runs: list[tuple[str, int]]) -> tuple[Quarters, ...]:
    first: dict[tuple[str, int], Quarters] = {}
    for played in events:
        first.setdefault((played.where.part, played.where.visit), played.where.start)
    return tuple(first[run] for run in runs)


def _pitches(chord: Chord, grips: dict[str, Grip], lesson: Lesson) -> tuple[tuple[int, ...], bool]:
    """Return the MIDI numbers a chord should sound; a symbol alone gives one close spelling."""
    grip = grip_of(chord, grips)
    if grip is not None:
        return tuple(sorted({s.midi for s in soundings(grip, lesson.neck)})), True
    if chord.symbol is None:
        return (), False
    low = min(lesson.neck.tuning.midi) + 3
    bass = _above(chord.symbol.bass_note, low)
    return (bass, *sorted(_above(note, bass + 4) for note in chord.symbol.notes)), False


def _above(note: Note, low: int) -> int:
    return low + (note.pc - low) % 12
