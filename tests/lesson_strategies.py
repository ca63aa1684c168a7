"""Lessons for property tests: any value that the grammar can say."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import strategies as st

from gripwright.beats import Metre, parse_metre
from gripwright.lesson.grid import push_length
from gripwright.lesson.model import (
    Bar,
    Chord,
    ChordEvent,
    Doubt,
    Lesson,
    LickNote,
    Part,
    Pattern,
    Prose,
    Stroke,
    note_order,
    stroke_order,
)
from gripwright.lesson.prose import pointers_in
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import make_neck, parse_tuning
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol

METRES = [parse_metre(t) for t in ("4/4", "3/4", "6/8", "12/8", "7/8 = 2+2+3", "5/8 = 3+2")]
NECKS = [
    make_neck(parse_tuning("E2 A2 D3 G3 B3 E4")),
    make_neck(parse_tuning("D2 A2 D3 G3 B3 E4"), 3),
    make_neck(parse_tuning("G4 C4 E4 A4")),
    make_neck(parse_tuning("B1 E2 A2 D3 G3 B3 E4"), (0, 0, 2, 2, 2, 2, 0)),
]
SYMBOLS = ["C", "Am9", "F#7(b9)", "Bbmaj7(#11)", "D/F#", "Gsus4", "Eb6/9", "Bm7(b5)"]
doubts = st.none() | st.builds(
    Doubt, st.none() | st.integers(0, 600_000).map(lambda ms: ms / 1000)
)  # fmt: skip


@st.composite
def cuts(draw: st.DrawFn, length: Fraction) -> list[tuple[Fraction, Fraction]]:
    """Return (offset, length) of stretches that fill a length, on a grid of 1/24 to 1/2."""
    step = draw(st.sampled_from([Fraction(1, 2), Fraction(1, 4), Fraction(1, 6)]))
    count = int(length / step)
    points = draw(st.sets(st.integers(1, count - 1), max_size=4)) if count > 1 else set()
    edges = [Fraction(0), *(step * point for point in sorted(points)), length]
    return [(a, b - a) for a, b in pairwise(edges)]


@st.composite
def grip_books(draw: st.DrawFn, strings: int) -> tuple[Chord, ...]:
    """Return chords set out once, some with fingers, some under a name that is no symbol."""
    book = {}
    names = draw(st.lists(st.sampled_from([*SYMBOLS, "Am9'", "cloud"]), unique=True, max_size=5))
    for name in names:
        frets = draw(st.tuples(*[st.none() | st.integers(0, 12)] * strings))
        symbol = parse_symbol("Dm9" if name == "cloud" else name.rstrip("'"))
        fingers = None
        if draw(st.booleans()):
            fingers = tuple(draw(st.sampled_from([None, "1", "4", "T"])) if f else None
                            for f in frets)  # fmt: skip
        book[name] = Chord(name, symbol, Grip(frets), fingers, draw(doubts))
    return tuple(book.values())


@st.composite
def patterns(draw: st.DrawFn, name: str, metre: Metre, strings: int) -> Pattern:
    """Return a right-hand pattern of one bar, in one to three lanes."""
    strokes = []
    for _ in range(draw(st.integers(1, 3))):
        for offset, length in draw(cuts(metre.length)):
            kind = draw(st.sampled_from(["down", "up", "pluck", "roll-up", "roll-down", None]))
            if kind is None:
                continue
            played = tuple(draw(st.lists(st.integers(1, strings), unique=True, max_size=3)))
            fingers: tuple[str, ...] = ()
            if kind == "pluck":
                played = played or (1,)
                fingers = draw(st.sampled_from([(), ("p", "i", "m")[: len(played)]]))
                played = draw(st.sampled_from([played, ()])) if fingers else played
            loud = draw(st.sampled_from([(False, False), (True, False), (False, True)]))
            strokes.append(Stroke(offset, length, kind, played, fingers, *loud))
    unique = {stroke_order(s): s for s in strokes}
    return Pattern(name, metre.length, tuple(unique[key] for key in sorted(unique)))


@st.composite
def chord_lanes(draw: st.DrawFn, metre: Metre, length: Fraction, chords: list[Chord]) -> tuple:
    """Return the events of a bar."""
    events = []
    for offset, stretch in draw(cuts(length)):
        chord = draw(st.none() | st.sampled_from(chords))
        push = draw(st.sampled_from([Fraction(0), push_length(metre, 1), push_length(metre, 2)]))
        events.append(ChordEvent(offset, stretch, chord, push))
    return tuple(events)


@st.composite
def licks(draw: st.DrawFn, length: Fraction, strings: int) -> tuple[LickNote, ...]:
    """Return the notes of a bar, in one or two voices."""
    notes = []
    for _ in range(draw(st.integers(0, 2))):
        for offset, stretch in draw(cuts(length)):
            if draw(st.booleans()):
                notes.append(replace(draw(lick_notes(strings)), offset=offset, length=stretch))
    unique = {note_order(note): note for note in notes}
    return tuple(unique[key] for key in sorted(unique))


@st.composite
def lick_notes(draw: st.DrawFn, strings: int) -> LickNote:
    """Return a note with any of the techniques that go together."""
    fret = draw(st.integers(0, 12))
    how = draw(st.sampled_from([(), ("slide",), ("hammer",), ("pull",), ("release",)]))
    kind = draw(st.sampled_from([(), ("dead",), ("bend",), ("vibrato",), ("natural-harmonic",),
                                 ("touch-harmonic",), ("bend", "vibrato")]))  # fmt: skip
    spans = draw(st.sampled_from([(), ("palm-mute",), ("let-ring",), ("palm-mute", "let-ring")]))
    return LickNote(
        Fraction(0), Fraction(1), draw(st.integers(1, strings)), fret, (*how, *kind, *spans),
        fret + draw(st.integers(1, 3)) if "bend" in kind else None,
        tied=draw(st.booleans()), doubt=draw(doubts),
    )  # fmt: skip


@st.composite
def parts(draw: st.DrawFn, name: str, metre: Metre, strings: int, chords: list[Chord],
          hands: list[Pattern | None], pickup: Fraction) -> Part:  # fmt: skip
    """Return a part of one to six bars with repeats and endings anywhere."""
    bars = []
    for index in range(draw(st.integers(1, 6))):
        own = draw(st.sampled_from([metre, metre, *METRES]))
        length = draw(st.sampled_from([own.length, own.length, Fraction(2)]))
        if pickup and index == 0:
            own, length = metre, pickup
        bars.append(Bar(
            own, length, draw(chord_lanes(own, length, chords)), draw(licks(length, strings)),
            draw(st.sampled_from(hands)), draw(st.booleans()), draw(st.integers(1, 3)),
            draw(st.sampled_from([(), (1,), (2, 3)])),
        ))  # fmt: skip
    keys = st.sampled_from([None, parse_key("Ab major"), parse_key("D dorian")])
    return Part(name, tuple(bars), draw(keys))


@st.composite
def lessons(draw: st.DrawFn) -> Lesson:
    """Return a whole lesson."""
    metre = draw(st.sampled_from(METRES))
    neck = draw(st.sampled_from(NECKS))
    strings = len(neck)
    book = draw(grip_books(strings))
    said = {chord.symbol for chord in book}
    free = [Chord(name, parse_symbol(name)) for name in ("Dm7", "E7alt", "Gbmaj9")]
    plain = Grip((None, *(5,) * (strings - 1)))
    joined = Chord(f"{plain.text}=A7(#9)", parse_symbol("A7(#9)"), plain, doubt=draw(doubts))
    chords = [
        *book,
        *(c for c in free if c.symbol not in said),
        joined,
        Chord(plain.text, grip=plain),
    ]
    hands = [draw(patterns(name, metre, strings)) for name in ("walk", "brush")]
    pickup = draw(st.sampled_from([Fraction(0), Fraction(1)]))
    names = draw(st.lists(st.sampled_from(["Verse", "The bridge", "Out 2"]), min_size=1,
                          unique=True))  # fmt: skip
    order = tuple(draw(st.lists(st.sampled_from(names), min_size=1, max_size=5)))
    made = tuple(
        draw(parts(n, metre, strings, chords, [None, *hands], pickup if n == order[0] else 0))
        for n in names
    )
    words = st.text("aé♭ \n*_`[]()#|.", min_size=1, max_size=40).map(lambda t: f"x{t}x")
    prose = tuple(
        Prose(text, pointers_in(text), after)
        for after in (None, *names)
        for text in draw(st.lists(words, max_size=2))
        if not pointers_in(text) and "\n```" not in text  # no reading gives an open fence
    )
    return Lesson(
        draw(st.sampled_from(["A walk", "Title: with colon", "♭ and #"])),
        draw(st.sampled_from([Fraction(90), Fraction(185, 2), Fraction(100, 3)])), metre,
        draw(st.sampled_from([Fraction(1, 2), Fraction(2, 3), Fraction(31, 50)])), neck,
        draw(st.none() | st.just(parse_key("F# minor"))), pickup, book, made, order, prose,
        draw(st.sampled_from([(), (("level", "3"), ("mood", "blue: a little"))])), tuple(hands),
    )  # fmt: skip
