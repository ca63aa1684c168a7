"""A lesson from a part for other hands: its stacks as grips, in a chart on its own bars."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from gripwright.beats import Metre, Quarters
from gripwright.errors import SearchError
from gripwright.harmony.reading import readings
from gripwright.lesson.model import Bar, Chord, ChordEvent, Lesson, Part
from gripwright.neck.effort import Player
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.hand import Finger
from gripwright.timing import steady
from gripwright.voicing.arrange import Wanted
from gripwright.voicing.reduce import Reduction, reduce_stacks
from gripwright.voicing.stacks import Stack, TimedPitch, stacks_of

MOST_STACKS = 2000


@dataclass(frozen=True, slots=True)
class Source:
    """What a file says of a part beside its notes: the first metre and tempo, and a title."""

    metre: Metre = field(default_factory=Metre)
    tempo_bpm: Fraction = Fraction(90)
    title: str = "A part arranged"


@dataclass(frozen=True, slots=True)
class ReducedPart:
    """The lesson, and the stacks with what became of each."""

    lesson: Lesson
    stacks: tuple[Stack, ...]
    reduction: Reduction


def lesson_of_part(
    notes: Iterable[TimedPitch],
    source: Source,
    player: Player,
    wanted: Wanted | None = None,
) -> ReducedPart:
    """Return a lesson whose chart plays a part on the neck as its stacks allow.

    Raises SearchError where there are no notes, far too many, or a stack no hand can take.
    """
    stacks = stacks_of(notes)
    sounding = tuple(stack for stack in stacks if stack.midis)
    if not 0 < len(sounding) <= MOST_STACKS:
        raise SearchError(
            f"the part has {len(sounding)} chords, it needs 1 to {MOST_STACKS}", field="part",
            remedy="give a file with the chords of one part",
        )  # fmt: skip
    tempo = steady(source.tempo_bpm, source.metre)
    lengths = [tempo.seconds(stack.length) for stack in sounding]
    reduction = reduce_stacks([stack.midis for stack in sounding], player, lengths, wanted)
    chords = _named(reduction, player)
    bars = _bars(list(zip(sounding, chords, strict=True)), source.metre)
    book = tuple(dict.fromkeys(chords))
    lesson = Lesson(
        source.title, tempo_bpm=source.tempo_bpm, metre=source.metre, neck=player.neck,
        grips=book, parts=(Part("Song", bars),), order=("Song",),
    )  # fmt: skip
    return ReducedPart(lesson, sounding, reduction)


def _named(reduction: Reduction, player: Player) -> list[Chord]:
    """Return a chord for each stack, named by its likeliest reading; voicings told apart."""
    names: dict[Grip, Chord] = {}
    taken: set[str] = set()
    chords = []
    for one in reduction.arrangement.fingerings:
        if one.grip not in names:
            names[one.grip] = _chord(one.grip, one.fingers, player, taken)
            taken.add(names[one.grip].name)
        chords.append(names[one.grip])
    return chords


def _chord(grip: Grip, fingers: Sequence[Finger | None], player: Player, taken: set[str]) -> Chord:
    sounds = len({sound.midi for sound in soundings(grip, player.neck)})
    symbol = readings(grip, player.neck)[0].symbol if sounds > 1 else None
    name = symbol.text if symbol else "stack" if sounds > 1 else "note"
    while name in taken:
        name += "'"
    return Chord(name, symbol, grip, tuple(fingers))


def _bars(chords: Sequence[tuple[Stack, Chord]], metre: Metre) -> tuple[Bar, ...]:
    """Return the bars that hold the chords; one that crosses a barline rings on."""
    length = metre.length
    end = max(stack.start + stack.length for stack, _ in chords)
    count = -(-end // length)
    bars: list[list[ChordEvent]] = [[] for _ in range(int(count))]
    for stack, chord in chords:
        at, left, struck = stack.start, stack.length, True
        while left > 0:
            index = int(at // length)
            offset: Quarters = at - index * length
            here = min(left, length - offset)
            bars[index].append(ChordEvent(offset, here, chord, struck=struck))
            at, left, struck = at + here, left - here, False
    return tuple(Bar(metre, length, _with_rests(events, length)) for events in bars)


def _with_rests(events: Sequence[ChordEvent], length: Quarters) -> tuple[ChordEvent, ...]:
    filled: list[ChordEvent] = []
    at = Fraction(0)
    for event in events:
        if event.offset > at:
            filled.append(ChordEvent(at, event.offset - at, None))
        filled.append(event)
        at = event.offset + event.length
    if at < length:
        filled.append(ChordEvent(at, length - at, None))
    return tuple(filled)
