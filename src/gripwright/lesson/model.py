"""The lesson as values.

Written time: a part, a bar in it, an exact offset in quarters from the start of the bar.
Spans (where a node stands in the file) live beside these values, in `text.Parsed`, so that
editing prose does not make the music look changed. Everything is frozen and hashable.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from gripwright.beats import Metre, Quarters
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

Finger = Literal["T", "1", "2", "3", "4"]
FOUR_FOUR = Metre()


@dataclass(frozen=True, slots=True)
class Doubt:
    """A teacher's doubt about something, with a place in the record where one is given."""

    record_s: float | None = None


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord as the teacher wrote it: a name, a grip, or both.

    ``name`` is the writing in the chart (``Am9'``), ``symbol`` what it says, None where the
    name is no chord symbol; ``fingers`` has one entry a string, bass side first.
    """

    name: str
    symbol: ChordSymbol | None = None
    grip: Grip | None = None
    fingers: tuple[Finger | None, ...] | None = None
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class ChordEvent:
    """A chord, a rest or a chord struck again or rung on, at its place in the bar.

    ``offset`` and ``length`` are written; the sound starts ``push`` earlier. ``struck`` is
    False where the chord of the bar before only rings on. ``chord`` None is a rest.
    ``label`` is a place that prose may point at.
    """

    offset: Quarters
    length: Quarters
    chord: Chord | None
    push: Quarters = Fraction(0)
    struck: bool = True
    label: str | None = None


Technique = Literal[
    "slide", "hammer", "pull", "bend", "release", "natural-harmonic", "touch-harmonic",
    "dead", "vibrato", "palm-mute", "let-ring",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class LickNote:
    """One note of a lick: string 1 is the treble side, fret counted from the capo.

    ``techniques`` say how it is made; ``slide hammer pull release`` connect it with the note
    before it on the same string. ``bend`` is the fret heard at the top of a bend. ``spelling``
    is a note name the teacher fixed. ``tied`` continues the note before it unstruck.
    """

    offset: Quarters
    length: Quarters
    string: int
    fret: int
    techniques: tuple[Technique, ...] = ()
    bend: int | None = None
    spelling: str | None = None
    tied: bool = False
    doubt: Doubt | None = None


StrokeKind = Literal["down", "up", "pluck", "roll-up", "roll-down"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """One motion of the right hand at its place in a pattern.

    ``strings`` are the string numbers it plays (empty: all that sound), ``fingers`` the
    right-hand letters (p i m a), one a string. A pluck with fingers and no strings fits any
    grip: p takes its lowest sounding string, a the highest, m and i the next ones beneath.
    """

    offset: Quarters
    length: Quarters
    kind: StrokeKind
    strings: tuple[int, ...] = ()
    fingers: tuple[str, ...] = ()
    accent: bool = False
    ghost: bool = False


@dataclass(frozen=True, slots=True)
class Pattern:
    """A right-hand pattern of a fixed length, repeated through the bars that use it.

    It starts anew where a bar's pattern differs from the one of the bar before; one longer
    than a bar goes on through the next. Strokes are in the order of `stroke_order`.
    """

    name: str
    length: Quarters
    strokes: tuple[Stroke, ...]


def note_order(note: LickNote) -> tuple[Quarters, int, int]:
    """Return the key that puts the notes of a bar in order: by time, bass side first."""
    return (note.offset, -note.string, note.fret)


def stroke_order(stroke: Stroke) -> tuple[Quarters, tuple[int, ...], str, Quarters]:
    """Return the key that puts the strokes of a pattern in order: by time, bass side first."""
    return (stroke.offset, tuple(-s for s in stroke.strings), stroke.kind, stroke.length)


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar: its own metre and length, the chord lane and the lick lane.

    ``repeat_start`` opens a repeat, ``repeat_times`` above 1 closes one; ``endings`` are the
    passes on which the bar is played (empty: all). ``pattern`` None leaves each event one
    down stroke.
    """

    metre: Metre
    length: Quarters
    chords: tuple[ChordEvent, ...]
    notes: tuple[LickNote, ...] = ()
    pattern: Pattern | None = None
    repeat_start: bool = False
    repeat_times: int = 1
    endings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """A section of the song; ``key`` only where it differs from the lesson's."""

    name: str
    bars: tuple[Bar, ...]
    key: Key | None = None


@dataclass(frozen=True, slots=True)
class Pointer:
    """A place in prose that points at a labelled chord: character span in the markdown."""

    label: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Prose:
    """A stretch of CommonMark between the music blocks, in the order of the file.

    ``after_part`` is the name of the last part before it, None before the first.
    """

    markdown: str
    pointers: tuple[Pointer, ...] = ()
    after_part: str | None = None


@dataclass(frozen=True, slots=True)
class Lesson:
    """A whole lesson.

    ``tempo_bpm`` counts beats of the metre (dotted quarters in 6/8). ``swing`` is the share
    of a beat that the first of two halves gets, 1/2 for straight. ``key`` None is ``auto``.
    ``order`` lists the parts as played. ``grips`` are the chords set out once, by name,
    ``patterns`` the right-hand patterns. ``names`` says whether names in the text are of what
    sounds or of shapes under the capo; symbols always name what sounds (`capo.shape_symbol`).
    ``facts`` are the other front-matter fields as text (level, scale length, reference A).
    """

    title: str
    tempo_bpm: Fraction = Fraction(90)
    metre: Metre = FOUR_FOUR
    swing: Fraction = Fraction(1, 2)
    neck: Neck = STANDARD_NECK
    key: Key | None = None
    pickup: Quarters = Fraction(0)
    grips: tuple[Chord, ...] = ()
    parts: tuple[Part, ...] = ()
    order: tuple[str, ...] = ()
    prose: tuple[Prose, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    patterns: tuple[Pattern, ...] = ()
    names: Literal["sound", "shape"] = "sound"

    def part(self, name: str) -> Part:
        """Return the part of that name; raises KeyError."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)

    def fact(self, name: str, default: str = "") -> str:
        """Return a front-matter field that has no value of its own above."""
        return dict(self.facts).get(name, default)
