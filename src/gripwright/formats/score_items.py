"""What stands in a bar of the score: chords and notes with their place, voice and marks.

The form is the written one: repeats are not unrolled, swing is a word. A bar with a lick has
the lick above and the chords below, or the other way round where the lick lies lower; a bar whose
pattern has a thumb lane has the fingers above and the thumb below; any other bar has one voice.
Chords last as the right hand writes them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import mean
from typing import Literal

from gripwright.beats import Quarters
from gripwright.formats.score_keys import part_keys
from gripwright.formats.score_spelling import chord_pitches
from gripwright.lesson.lick_roles import letters_of_licks
from gripwright.lesson.lick_sounds import heard_midi
from gripwright.lesson.model import Lesson, LickNote, StrokeKind, Technique
from gripwright.lesson.perform import grip_of
from gripwright.lesson.right_hand import played_strings
from gripwright.lesson.sound import CONNECTED
from gripwright.lesson.strikes import Strike, strikes, written_bars
from gripwright.lesson.unroll import PlayedBar
from gripwright.neck.grip import Grip, soundings
from gripwright.theory.pitch import Pitch, spell_midi
from gripwright.theory.scale import Key


@dataclass(frozen=True, slots=True)
class ScoreNote:
    """One note: its pitch, where it is fretted, how it is made, and its ties.

    ``techniques``, ``bend_semitones``, ``finger`` (the right hand's letter) and ``reached_by``
    (how it goes on from the note before on its string) belong to its beginning, ``leads_by``
    (how the next one goes on from it) to its end.
    """

    pitch: Pitch
    string: int
    fret: int
    techniques: tuple[Technique, ...] = ()
    bend_semitones: int = 0
    finger: str = ""
    reached_by: Technique | None = None
    leads_by: Technique | None = None
    tie_from: bool = False
    tie_to: bool = False

    def part(self, *, first: bool, last: bool) -> ScoreNote:
        """Return one of the values that this note is cut into, tied to its neighbours."""
        note = replace(self, tie_from=self.tie_from or not first, tie_to=self.tie_to or not last)
        if not first:
            note = replace(note, techniques=(), bend_semitones=0, finger="", reached_by=None)
        return note if last else replace(note, leads_by=None)


@dataclass(frozen=True, slots=True)
class Item:
    """Notes that sound together in one voice, from an offset in their bar.

    ``stroke`` is the hand's motion where the bar has a pattern, None elsewhere.
    """

    offset: Quarters
    length: Quarters
    notes: tuple[ScoreNote, ...]
    stroke: StrokeKind | None = None
    accent: bool = False
    ghost: bool = False


@dataclass(frozen=True, slots=True)
class ScoreBar:
    """A bar in its written place, its key, and its one or two voices, upper first."""

    where: PlayedBar
    key: Key
    voices: tuple[tuple[Item, ...], ...]


Lane = Literal["lick", "thumb", "fingers"]


@dataclass(frozen=True, slots=True)
class _Tone:
    """A note in absolute written time, before barlines and other notes cut it."""

    start: Quarters
    end: Quarters
    note: ScoreNote
    lane: Lane
    stroke: StrokeKind | None = None
    accent: bool = False
    ghost: bool = False


def score_bars(lesson: Lesson, grips: Mapping[str, Grip] | None = None) -> tuple[ScoreBar, ...]:
    """Return the bars of a lesson as a score has them.

    ``grips`` gives a grip to chords that have none, by their name in the chart.
    """
    bars = written_bars(lesson)
    keys = part_keys(lesson)
    licks = tuple(_lick_tones(bars, lesson, keys))
    chords = _beside(_chord_tones(bars, lesson, grips or {}, keys), licks)
    tones = (*chords, *licks)
    here: list[list[_Tone]] = [[] for _ in bars]
    starts = [where.start for where in bars]
    for tone in tones:
        index = bisect_right(starts, tone.start) - 1
        while index < len(bars) and starts[index] < tone.end:
            here[index].append(tone)
            index += 1
    return tuple(
        ScoreBar(where, keys[where.part], tuple(_voices(where, held)))
        for where, held in zip(bars, here, strict=True)
    )


def _chord_tones(
    bars: Sequence[PlayedBar],
    lesson: Lesson,
    grips: Mapping[str, Grip],
    keys: Mapping[str, Key],
) -> Iterator[_Tone]:
    """Yield the notes of every strike; a lane's stroke lasts until its next one at most."""
    neck = lesson.neck
    lanes: dict[Lane, list[Strike]] = {"thumb": [], "fingers": []}
    for strike in strikes(bars):
        lanes["thumb" if set(strike.stroke.fingers) == {"p"} else "fingers"].append(strike)
    for lane, struck in lanes.items():
        starts = sorted({strike.start for strike in struck})
        for strike in struck:
            chord, stroke = strike.span.chord, strike.stroke
            grip = grip_of(chord, grips)
            if chord is None or grip is None:
                continue
            after = bisect_right(starts, strike.start)
            end = min([strike.start + strike.length, *starts[after : after + 1]])
            pitches = chord_pitches(chord, grip, neck, keys[strike.span.where.part])
            how = stroke.kind if strike.where.bar.pattern is not None else None
            for sound in played_strings(stroke, soundings(grip, neck)):
                finger = dict(zip(stroke.strings, stroke.fingers, strict=False))
                note = ScoreNote(
                    pitches[sound.string], sound.string, sound.fret,
                    finger=finger.get(sound.string, ""),
                )  # fmt: skip
                yield _Tone(strike.start, end, note, lane, how, stroke.accent, stroke.ghost)


def _lick_tones(
    bars: Sequence[PlayedBar], lesson: Lesson, keys: Mapping[str, Key]
) -> Iterator[_Tone]:
    """Yield the notes of the lick lane, tied ones joined."""
    neck = lesson.neck
    letters = {part.name: letters_of_licks(part, keys[part.name], neck) for part in lesson.parts}
    last: dict[int, _Tone] = {}
    for where in bars:
        for note in sorted(where.bar.notes, key=lambda n: (n.offset, -n.string)):
            start = where.start + note.offset
            before = last.get(note.string)
            if note.tied and before is not None and before.note.fret == note.fret:
                last[note.string] = replace(before, end=start + note.length)
                continue
            reached = next((t for t in CONNECTED if t in note.techniques), None)
            if before is not None:
                yield _leading(before, reached)
            letter = letters[where.part][where.bar_index, note]
            pitch = spell_midi(heard_midi(note, neck), letter)
            made = ScoreNote(
                pitch, note.string, note.fret, note.techniques, _bend(note, before),
                reached_by=reached if before else None,
            )  # fmt: skip
            last[note.string] = _Tone(start, start + note.length, made, "lick")
    yield from last.values()


def _beside(chords: Iterable[_Tone], licks: Sequence[_Tone]) -> Iterator[_Tone]:
    """Yield the chord tones whose string no lick has at that moment."""
    busy: dict[int, list[_Tone]] = {}
    for lick in licks:
        busy.setdefault(lick.note.string, []).append(lick)
    for tone in chords:
        taken = (t.start <= tone.start < t.end for t in busy.get(tone.note.string, ()))
        if not any(taken):
            yield tone


def _leading(tone: _Tone, how: Technique | None) -> _Tone:
    return replace(tone, note=replace(tone.note, leads_by=how))


def _bend(note: LickNote, before: _Tone | None) -> int:
    """Return the semitones that a bend rises, or that a release comes down from."""
    if note.bend is not None:
        return note.bend - note.fret
    if "release" in note.techniques and before is not None:
        return before.note.fret + before.note.bend_semitones - note.fret
    return 0


def _voices(where: PlayedBar, tones: Sequence[_Tone]) -> Iterator[tuple[Item, ...]]:
    """Yield the voices of a bar, upper first; none for a bar of silence."""
    lanes = {tone.lane for tone in tones}
    above: Lane = "lick" if "lick" in lanes else "fingers"
    if len(lanes) < 2:
        above = next(iter(lanes), "fingers")
    upper = [tone for tone in tones if tone.lane == above]
    lower = [tone for tone in tones if tone.lane != above]
    if len(lanes) == 3:
        lower = _in_one_row(lower)
    if above == "lick" and lower and _height(upper) < _height(lower):
        upper, lower = lower, upper
    for voice in (upper, lower):
        if voice:
            yield tuple(_slices(where, voice))


def _height(tones: Sequence[_Tone]) -> float:
    return mean(tone.note.pitch.midi for tone in tones)


def _in_one_row(tones: Sequence[_Tone]) -> list[_Tone]:
    """Return the tones of two lanes for one voice: each lasts until the next at most."""
    starts = sorted({tone.start for tone in tones})
    return [
        replace(tone, end=min([tone.end, *(s for s in starts if s > tone.start)]))
        for tone in tones
    ]  # fmt: skip


def _slices(where: PlayedBar, tones: Sequence[_Tone]) -> Iterator[Item]:
    """Yield what sounds between neighbouring beginnings and ends, tied where it goes on."""
    first, last = where.start, where.start + where.bar.length
    places = {first, last, *(t.start for t in tones), *(t.end for t in tones)}
    inside = sorted(place for place in places if first <= place <= last)
    # Of two strokes at once on a string, the one that rings longer is written.
    in_turn = sorted(tones, key=lambda tone: (tone.start, tone.end))
    for start, end in pairwise(inside):
        held = {t.note.string: t for t in in_turn if t.start <= start and t.end >= end}
        if not held:
            continue
        row = sorted(held.values(), key=lambda tone: -tone.note.string)
        fresh = [tone for tone in row if tone.start == start]
        yield Item(
            start - first, end - start, tuple(_slice(tone, start, end) for tone in row),
            fresh[0].stroke if fresh else None,
            any(tone.accent for tone in fresh), any(tone.ghost for tone in fresh),
        )  # fmt: skip


def _slice(tone: _Tone, start: Quarters, end: Quarters) -> ScoreNote:
    return tone.note.part(first=tone.start >= start, last=tone.end <= end)
