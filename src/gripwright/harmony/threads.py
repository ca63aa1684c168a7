"""Threads: voices followed from one chord to the next.

With grips, the voices are heard: bass to bass, top to top, then each string that sounds in
both, then what is left to the nearest note. With symbols only they are those of the least
motion (`leading`). Told are common tones and half steps, and in the bass and on top every move.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from gripwright.harmony.claims import Claim, holds, sentence
from gripwright.harmony.facts import Facts
from gripwright.harmony.leading import least_motion, step
from gripwright.harmony.tones import Tone, tones_under
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.theory.interval import Degree, degree_between
from gripwright.theory.pitch import Note
from gripwright.theory.symbol import ChordSymbol

_KINDS = {0: "common tone", 1: "half step", 2: "whole step"}


@dataclass(frozen=True, slots=True)
class Thread:
    """A voice between two chords.

    ``kind`` is ``common tone``, ``half step``, ``whole step`` or ``leap``; ``voice`` where it
    is heard: ``bass``, ``top``, ``string 3``, ``inner``, or ``any`` where only symbols are known.
    ``motion`` is in semitones, up positive.
    """

    kind: str
    voice: str
    motion: int
    text: str


@lru_cache(maxsize=16384)
def threads_between(one: Facts, two: Facts) -> tuple[Thread, ...]:
    """Return the common tones and half steps of the least motion between two symbols.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.symbol import parse_symbol
    >>> pair = (facts_of(parse_symbol(text)) for text in ("G7(b9)", "Cmaj7"))
    >>> [thread.text for thread in threads_between(*pair)][-1]
    'A♭, the ♭9 of G7(♭9), falls a half step to G, the 5 of Cmaj7'
    """
    here, there = _spelled(one.symbol), _spelled(two.symbol)
    _, pairs = least_motion(tuple(sorted(here)), tuple(sorted(there)))
    found = [
        thread
        for pc, goal in pairs
        if abs(motion := step(pc, goal)) < 2
        and (thread := _told(one.symbol, two.symbol, here[pc], there[goal], motion, "any"))
    ]
    return tuple(sorted(found, key=lambda thread: abs(thread.motion)))


def threads_between_grips(
    one: tuple[ChordSymbol, Grip], two: tuple[ChordSymbol, Grip], neck: Neck
) -> tuple[Thread, ...]:
    """Return the voices between two grips, bass first and top last.

    Raises GripError if a grip does not fit the neck.
    """
    here, there = tones_under(*one, neck), tones_under(*two, neck)
    found = []
    for tone, other, voice in _paired(here, there):
        motion = other.midi - tone.midi
        if voice in ("bass", "top") or abs(motion) < 2:
            places = (tone.note, tone.degree), (other.note, other.degree)
            thread = _told(one[0], two[0], *places, motion, voice)
            found += [thread] if thread else []
    return tuple(found)


def _paired(here: tuple[Tone, ...], there: tuple[Tone, ...]) -> list[tuple[Tone, Tone, str]]:
    """Return who follows whom: bass, strings from the bass side, what is left, top."""
    mine, theirs = sorted(here, key=_pitch), sorted(there, key=_pitch)
    bass = (mine.pop(0), theirs.pop(0), "bass")
    pairs = [bass]
    tops = [(mine.pop(), theirs.pop(), "top")] if mine and theirs else []
    for tone in tuple(mine):
        same = [other for other in theirs if other.string == tone.string]
        if same:
            pairs.append((tone, same[0], f"string {tone.string}"))
            mine.remove(tone)
            theirs.remove(same[0])
    for tone in mine:
        if theirs:
            nearest = min(theirs, key=lambda other: abs(other.midi - tone.midi))
            theirs.remove(nearest)
            pairs.append((tone, nearest, "inner"))
    return pairs + tops


def _pitch(tone: Tone) -> tuple[int, int]:
    return (tone.midi, -tone.string)


@lru_cache(maxsize=8192)
def _spelled(symbol: ChordSymbol) -> dict[int, tuple[Note, Degree]]:
    """Return the notes a symbol claims, by pitch class, with a foreign bass among them."""
    notes = {
        note.pc: (note, degree) for note, degree in zip(symbol.notes, symbol.degrees, strict=True)
    }
    bass = symbol.bass_note
    return (
        notes if bass.pc in notes else {**notes, bass.pc: (bass, degree_between(symbol.root, bass))}
    )


def _told(
    one: ChordSymbol,
    two: ChordSymbol,
    here: tuple[Note, Degree],
    there: tuple[Note, Degree],
    motion: int,
    voice: str,
) -> Thread | None:
    """Return a thread whose claim holds, None otherwise."""
    claim = Claim("changes.thread", (one, two), (*here, *there, motion))
    if not holds(claim):
        return None
    return Thread(_KINDS.get(abs(motion), "leap"), voice, motion, sentence(claim))
