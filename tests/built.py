"""Lessons built by hand or at random, so that tests of sound and scores need no parser."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import pairwise
from typing import Any

from hypothesis import strategies as st

from gripwright.beats import parse_metre
from gripwright.lesson.model import (
    Bar,
    Chord,
    ChordEvent,
    Lesson,
    LickNote,
    Part,
    Pattern,
    Stroke,
)
from gripwright.neck.grip import parse_grip
from gripwright.theory.symbol import parse_symbol

FOUR = parse_metre("4/4")
C = Chord("C", parse_symbol("C"), parse_grip("x32010"))
AM = Chord("Am", parse_symbol("Am"), parse_grip("x02210"))
G5 = Chord("G5", parse_symbol("G5"), parse_grip("355xxx"))


def event(at: object, length: object, chord: Chord | None = C, **more: Any) -> ChordEvent:
    """Return a chord event; times are anything that Fraction takes."""
    return ChordEvent(F(str(at)), F(str(length)), chord, **more)


def bar(*events: ChordEvent, length: object = 4, **more: Any) -> Bar:
    """Return a bar of 4/4 unless ``metre`` is given."""
    return Bar(more.pop("metre", FOUR), F(str(length)), events, **more)


def lesson(*bars: Bar, **more: Any) -> Lesson:
    """Return a lesson of one part, "a"."""
    return Lesson("x", parts=(Part("a", bars),), order=("a",), **more)


def lick(at: object, length: object, string: int, fret: int, *how: Any, **more: Any) -> LickNote:
    """Return a lick note."""
    return LickNote(F(str(at)), F(str(length)), string, fret, how, **more)


CHORDS = tuple(
    Chord(name, parse_symbol(name), parse_grip(grip))
    for name, grip in (
        ("C", "x32010"), ("Am7", "x02010"), ("F#m7(b5)", "2x221x"), ("Bb13(#11)", "6x6786"),
        ("D/F#", "2x0232"), ("Ab7(b9,#5)", "4x4554"), ("Em(maj9)", "02100x"), ("Gsus4", "3x0013"),
    )
)  # fmt: skip
METRES = tuple(parse_metre(text) for text in ("4/4", "3/4", "6/8", "7/8 = 2+2+3", "12/8", "5/4"))


@st.composite
def _patterns(draw: st.DrawFn, length: F) -> Pattern:
    """Return a pattern that fills a bar with strokes on a random grid."""
    step = draw(st.sampled_from([F(1, 2), F(1, 4), F(1, 3), F(1)]))
    count = int(length / step)
    places = draw(st.sets(st.integers(0, count - 1), min_size=1, max_size=6))
    ends = [*sorted(places)[1:], count]
    strokes = tuple(
        Stroke(at * step, (end - at) * step, draw(st.sampled_from(["down", "up", "pluck"])))
        for at, end in zip(sorted(places), ends, strict=True)
    )
    return Pattern("p", length, strokes)


@st.composite
def _licks(draw: st.DrawFn, length: F) -> tuple[LickNote, ...]:
    """Return a line of single notes on a random grid."""
    step = draw(st.sampled_from([F(1, 2), F(1, 4), F(1, 3), F(2, 5)]))
    notes, at = [], F(0)
    while at + step <= length and len(notes) < 8:
        size = step * draw(st.integers(1, 3))
        if draw(st.booleans()) and at + size <= length:
            notes.append(lick(at, size, draw(st.integers(1, 6)), draw(st.integers(0, 12))))
        at += size
    return tuple(notes)


@st.composite
def lessons(draw: st.DrawFn) -> Lesson:
    """Return a lesson of one to four bars without repeats, any metre, grid and syncopation."""
    metre = draw(st.sampled_from(METRES))
    bars = []
    for _ in range(draw(st.integers(1, 4))):
        unit = F(4, metre.unit)
        cuts = draw(st.sets(st.integers(1, metre.count - 1), max_size=3))
        edges = [F(0), *(cut * unit for cut in sorted(cuts)), metre.length]
        events = []
        for start, end in pairwise(edges):
            chord = draw(st.sampled_from([*CHORDS, None]))
            push = draw(st.sampled_from([F(0), F(0), unit / 2])) if start or bars else F(0)
            events.append(ChordEvent(start, end - start, chord, push if chord else F(0)))
        pattern = draw(st.none() | _patterns(metre.length))
        notes = draw(st.just(()) | _licks(metre.length))
        bars.append(Bar(metre, metre.length, tuple(events), notes, pattern))
    return Lesson("x", metre=metre, parts=(Part("a", tuple(bars)),), order=("a",))
