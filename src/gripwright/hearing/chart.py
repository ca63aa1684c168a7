"""What a lesson expects to hear: its struck chords in a row, each with its pitches and length.

What is struck, and when, is what the performance strikes (`gripwright.lesson.perform`): a right
hand may begin with a lone thumb, come late, or leave a string of the grip alone. Rests, chords
that only ring on and those that the hand passes over lengthen the one before.
A run is one visit to one part with its repeats unrolled: the unit that a player may skip or
play again.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from gripwright.beats import Quarters
from gripwright.errors import InputError
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.perform import grip_of, perform
from gripwright.lesson.sound import Sound
from gripwright.lesson.unroll import Played, played_events
from gripwright.neck.grip import Grip, soundings
from gripwright.theory.pitch import Note


@dataclass(frozen=True, slots=True)
class Expected:
    """A struck chord: the index of its event, where its first stroke falls, how far the next is.

    ``midi`` is what is struck while it lasts; empty where the chart gives no grip and no symbol.
    ``first`` is what its first stroke strikes; ``share`` says, for each of ``midi``, in how much
    of the chord's strokes it has been struck by then. ``also`` may sound too: the rest of the
    grip, a lick over the chord, what rings on from before. ``run`` counts visits to parts;
    ``exact`` is False where only a symbol is known.
    """

    index: int
    start: Quarters
    length: Quarters
    midi: tuple[int, ...]
    run: int
    exact: bool
    first: tuple[int, ...]
    share: tuple[float, ...]
    also: tuple[int, ...]


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
    sounds = perform(lesson, grips=grips)
    strokes: dict[int, list[Sound]] = {}
    for sound in sounds:
        if sound.event is not None:
            strokes.setdefault(sound.event, []).append(sound)
    runs: list[tuple[str, int]] = []
    struck: list[_Struck] = []
    for played in events:
        visit = (played.where.part, played.where.visit)
        if not runs or runs[-1] != visit:
            runs.append(visit)
        chord = played.event.chord
        own = strokes.get(played.index, [])
        known = chord is not None and grip_of(chord, grips) is not None
        if chord is not None and (own if known else played.event.struck):
            start = own[0].start if own else played.sounds_at
            struck.append(_Struck(played, start, len(runs) - 1, tuple(own)))
    end = events[-1].end if events else Fraction(0)
    expected = _expected(struck, sounds, end, grips, lesson)
    if not any(e.midi for e in expected):
        raise InputError(
            "the lesson has no chord to listen for", field="lesson",
            remedy="write its chart first, or let hear draft one from the take",
        )  # fmt: skip
    starts = _run_starts(events, runs)
    return Chart(events, expected, tuple(part for part, _ in runs), starts)


@dataclass(frozen=True, slots=True)
class _Struck:
    """A chord event, where its first stroke falls, its run, what is struck under it."""

    played: Played
    start: Quarters
    run: int
    sounds: tuple[Sound, ...]


def _expected(
    struck: list[_Struck], sounds: tuple[Sound, ...], end: Quarters, grips: dict[str, Grip],
    lesson: Lesson,
) -> tuple[Expected, ...]:  # fmt: skip
    out = []
    ends = [item.start for item in struck[1:]] + [end] * bool(struck)
    over = _over(sounds, [item.start for item in struck])
    for item, until, sounding in zip(struck, ends, over, strict=True):
        chord = item.played.event.chord
        assert chord is not None
        whole, exact = _pitches(chord, grips, lesson)
        midi = tuple(sorted({s.midi for s in item.sounds})) or whole
        first = tuple(sorted({s.midi for s in item.sounds if s.start == item.start})) or whole
        share = _shares(midi, item.sounds)
        also = {*whole, *sounding} - set(midi)
        length = max(until - item.start, Fraction(1, 16))
        out.append(Expected(
            item.played.index, item.start, length, midi, item.run, exact, first, share,
            tuple(sorted(also)),
        ))  # fmt: skip
    return tuple(out)


def _shares(midi: tuple[int, ...], sounds: tuple[Sound, ...]) -> tuple[float, ...]:
    """Return for each pitch the share of strokes at or after the first that strikes it."""
    begins = sorted({sound.start for sound in sounds})
    if not begins:
        return (1.0,) * len(midi)
    first: dict[int, Quarters] = {}
    for sound in sounds:
        first.setdefault(sound.midi, sound.start)
    return tuple(sum(at >= first[m] for at in begins) / len(begins) for m in midi)


def _over(sounds: tuple[Sound, ...], starts: list[Quarters]) -> list[set[int]]:
    """Return what sounds between each start and the next, bends with all that they pass."""
    over: list[set[int]] = [set() for _ in starts]
    for sound in sounds:
        place = max(0, bisect_right(starts, sound.start) - 1)
        while place < len(starts) and starts[place] < sound.end:
            over[place].update(range(sound.midi, sound.midi + sound.bend_semitones + 1))
            place += 1
    return over


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
