"""Stacks of notes from a part: what sounds together, from one onset to the next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Protocol

# Onsets nearer to each other than this are one stroke of the hand, in quarters; all times
# are brought to this grid, which holds sixteenths and triplets alike.
GRID = Fraction(1, 12)
TOGETHER = Fraction(1, 8)


class TimedPitch(Protocol):
    """A note with exact times in quarters, as `formats.notes.TimedNote`."""

    @property
    def start(self) -> Fraction: ...
    @property
    def end(self) -> Fraction: ...
    @property
    def midi(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Stack:
    """Pitches that sound together, low to high; empty where nothing sounds."""

    start: Fraction
    length: Fraction
    midis: tuple[int, ...]


def stacks_of(notes: Iterable[TimedPitch]) -> tuple[Stack, ...]:
    """Return the stacks of a part in order; a stack that does not change is one.

    >>> from gripwright.formats.notes import TimedNote
    >>> q = Fraction(1)
    >>> [s.midis for s in stacks_of([TimedNote(0 * q, q, 60), TimedNote(0 * q, 2 * q, 64)])]
    [(60, 64)]
    """
    placed = _placed(notes)
    cuts = sorted({cut for start, end, _ in placed for cut in (start, end)})
    stacks: list[Stack] = []
    for start, end in pairwise(cuts):
        midis = tuple(sorted({m for begin, stop, m in placed if begin <= start and end <= stop}))
        struck = any(begin == start for begin, _, _ in placed)
        last = stacks[-1] if stacks else None
        if last and last.midis == midis and not struck:
            stacks[-1] = Stack(last.start, end - last.start, midis)
        elif last and not struck and set(midis) < set(last.midis) and midis:
            stacks[-1] = Stack(last.start, end - last.start, last.midis)
        else:
            stacks.append(Stack(start, end - start, midis))
    return tuple(stacks)


def _placed(notes: Iterable[TimedPitch]) -> Sequence[tuple[Fraction, Fraction, int]]:
    """Return (start, end, pitch) on the grid, near onsets drawn to the first of them."""
    placed: list[tuple[Fraction, Fraction, int]] = []
    first = Fraction(-10)
    for note in sorted(notes, key=lambda note: note.start):
        if note.start - first > TOGETHER:
            first = note.start
        start, end = _on_grid(first), _on_grid(note.end - (note.start - first))
        placed.append((start, max(end, start + GRID), note.midi))
    return placed


def _on_grid(at: Fraction) -> Fraction:
    return Fraction(round(at / GRID)) * GRID
