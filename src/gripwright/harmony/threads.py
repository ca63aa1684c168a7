"""Threads: voices followed from one chord to the next, what matters most first.

With grips, the voices are heard (`voices`): bass to bass, top to top, strings where the hand
follows them, the rest by least motion. With symbols only they are those of the least motion
(`leading`), the guide tones, and the bass; a flat ninth or diminished seventh falls where it can.
Told are common tones and half steps, guide tones up to a whole step, and with grips every move in
the bass and on top.

First come half steps, those of guide tones (thirds and sevenths) before others; then guide tones
that stay or move a whole step; then what else stays; last the bass and top that only move.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from gripwright.harmony.claims import Claim, holds, sentence
from gripwright.harmony.facts import Facts, facts_of
from gripwright.harmony.leading import least_motion, step
from gripwright.harmony.tones import tones_under
from gripwright.harmony.voices import paired
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.theory.interval import Degree, degree_between, note_at
from gripwright.theory.pitch import Note
from gripwright.theory.symbol import ChordSymbol

_KINDS = {0: "common tone", 1: "half step", 2: "whole step"}
_GUIDES = (3, 7)
_OUTER = ("bass", "top")
_LEAN_DOWN = (Degree(9, -1), Degree(7, -2))

Spelled = tuple[Note, Degree]


@dataclass(frozen=True, slots=True)
class Thread:
    """A voice between two chords.

    ``kind`` is ``common tone``, ``half step``, ``whole step`` or ``leap``; ``voice`` where it
    is heard: ``bass``, ``top``, ``string 3``, ``inner``, or ``any`` where only symbols are known.
    ``here`` and ``there`` are its notes and their degrees; ``motion`` is in semitones, up
    positive; ``guide`` is whether it is a third or seventh on both sides.
    """

    kind: str
    voice: str
    motion: int
    here: Spelled
    there: Spelled
    guide: bool
    text: str

    @property
    def rank(self) -> int:
        """Return its place among the threads of a change, 0 for what matters most."""
        size = abs(self.motion)
        if size == 1:
            one_end = self.here[1].number in _GUIDES or self.there[1].number in _GUIDES
            return 0 if self.guide else 1 if one_end else 2
        if self.guide and size <= 2:
            return 3 + size // 2
        return 5 if size == 0 else 6 if size == 2 else 7


@lru_cache(maxsize=16384)
def threads_between(one: Facts, two: Facts) -> tuple[Thread, ...]:
    """Return the threads between two symbols, what matters most first.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.symbol import parse_symbol
    >>> pair = (facts_of(parse_symbol(text)) for text in ("G7(b9)", "Cmaj7"))
    >>> for thread in threads_between(*pair): print(thread.text)
    F, the ♭7 of G7(♭9), falls a half step to E, the 3 of Cmaj7
    A♭, the ♭9 of G7(♭9), falls a half step to G, the 5 of Cmaj7
    B, the 3 of G7(♭9), stays as the 7 of Cmaj7
    G, the root of G7(♭9), stays as the 5 of Cmaj7
    """
    here, there = _spelled(one.symbol), _spelled(two.symbol)
    bound = _falling(here, there)
    least = _least(here, there, one.root)
    free = ((pc, goal) for pc, goal in (*_guides(here, there), *least) if pc not in bound)
    pairs = dict.fromkeys((pc, goal, "any") for pc, goal in (*bound.items(), *free))
    if abs(step(one.bass, two.bass)) <= 2:
        pairs = {(one.bass, two.bass, "bass"): None} | pairs
    found: dict[tuple[int, int], Thread] = {}
    for pc, goal, voice in pairs:
        motion = step(pc, goal)
        guide = _is_guide(here[pc][1]) and _is_guide(there[goal][1])
        told = abs(motion) < 2 or (abs(motion) == 2 and (guide or voice == "bass"))
        if told and (pc, goal) not in found:
            opens = motion == 1 and step(one.bass, two.bass) == -1
            start = _as_sixth(one, here[pc]) if opens else here[pc]
            thread = _told(one.symbol, two.symbol, start, there[goal], motion, voice)
            if thread:
                found[pc, goal] = thread
    return tuple(sorted(found.values(), key=lambda thread: thread.rank))


@lru_cache(maxsize=4096)
def threads_between_grips(
    one: tuple[ChordSymbol, Grip], two: tuple[ChordSymbol, Grip], neck: Neck
) -> tuple[Thread, ...]:
    """Return the threads between two grips, what matters most first.

    Raises GripError if a grip does not fit the neck.
    """
    voices = paired(tones_under(*one, neck), tones_under(*two, neck))
    sinks = bool(voices) and voices[0][1].midi - voices[0][0].midi == -1
    found = []
    for tone, other, voice in voices:
        motion = other.midi - tone.midi
        start, goal = (tone.note, tone.degree), (other.note, other.degree)
        if sinks and motion == 1:
            start = _as_sixth(facts_of(one[0]), start)
        guide = _is_guide(tone.degree) and _is_guide(other.degree)
        if voice in _OUTER or abs(motion) < 2 or (guide and abs(motion) == 2):
            thread = _told(one[0], two[0], start, goal, motion, voice)
            found += [thread] if thread else []
    return tuple(sorted(found, key=lambda thread: thread.rank))


def _as_sixth(chord: Facts, start: Spelled) -> Spelled:
    """Return a dominant's seventh as the augmented sixth that it is where it opens out."""
    if not chord.dominant or start[1] != Degree(7, -1):
        return start
    sixth = Degree(6, 1)
    return note_at(chord.symbol.root, sixth), sixth


def _is_guide(degree: Degree) -> bool:
    return degree.number in _GUIDES


def _least(here: Iterable[int], there: Iterable[int], root: int) -> list[tuple[int, int]]:
    """Return the pairs of the least motion, looked up as seen from a root: alike in every key."""
    mine, theirs = (tuple(sorted([(pc - root) % 12 for pc in side])) for side in (here, there))
    pairs = least_motion(mine, theirs)[1]
    return [((pc + root) % 12, (goal + root) % 12) for pc, goal in pairs]


def _guides(here: dict[int, Spelled], there: dict[int, Spelled]) -> tuple[tuple[int, int], ...]:
    """Return how the third and seventh of a chord go on to those of the next, both by step."""
    mine, theirs = (
        tuple(sorted(pc for pc, (_, degree) in side.items() if _is_guide(degree)))
        for side in (here, there)
    )
    if len(mine) != 2 or len(theirs) != 2:
        return ()
    pairs = least_motion(mine, theirs, doubling=False)[1]
    return pairs if all(abs(step(*pair)) <= 2 for pair in pairs) else ()


def _falling(here: dict[int, Spelled], there: dict[int, Spelled]) -> dict[int, int]:
    """Return where flat ninths and diminished sevenths go that have a half step down to go.

    They lean down, whatever else lies near: common practice, no source.
    """
    return {
        pc: (pc - 1) % 12
        for pc, (_, degree) in here.items()
        if degree in _LEAN_DOWN and pc not in there and (pc - 1) % 12 in there
    }


@lru_cache(maxsize=8192)
def _spelled(symbol: ChordSymbol) -> dict[int, Spelled]:
    """Return the notes a symbol claims, by pitch class, with a foreign bass among them."""
    notes = {
        note.pc: (note, degree) for note, degree in zip(symbol.notes, symbol.degrees, strict=True)
    }
    bass = symbol.bass_note
    return (
        notes if bass.pc in notes else {**notes, bass.pc: (bass, degree_between(symbol.root, bass))}
    )


def _told(
    one: ChordSymbol, two: ChordSymbol, here: Spelled, there: Spelled, motion: int, voice: str
) -> Thread | None:
    """Return a thread whose claim holds, None otherwise."""
    claim = Claim("changes.thread", (one, two), (*here, *there, motion))
    if not holds(claim):
        return None
    kind = _KINDS.get(abs(motion), "leap")
    guide = _is_guide(here[1]) and _is_guide(there[1])
    return Thread(kind, voice, motion, here, there, guide, sentence(claim))
