"""Rhythm as it is written: note values, dots, tuplets and ties that show the beat.

A length is cut so that a reader sees the beats (common practice, no source): what starts on a
beat may span whole beats, or one beat and a part of the next; what starts between beats is
tied over the next beat, save the plain syncopation of half, whole, half; nothing but a bar-long
value or that syncopation hides the middle of a bar of four beats. Rests are cut more strictly.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from gripwright.beats import Metre, Quarters

TYPES: dict[Quarters, str] = {
    Fraction(8): "breve", Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter",
    Fraction(1, 2): "eighth", Fraction(1, 4): "16th", Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th", Fraction(1, 32): "128th", Fraction(1, 64): "256th",
}  # fmt: skip
VALUES: dict[Quarters, tuple[str, int]] = {
    **{length: (name, 0) for length, name in TYPES.items()},
    **{length * 3 / 2: (name, 1) for length, name in TYPES.items()},
}
_FINEST = Fraction(1, 64)


@dataclass(frozen=True, slots=True)
class Piece:
    """One written value: ``offset`` and ``length`` in quarters, its type and dots.

    In a tuplet ``actual`` notes stand in the time of ``normal``; 1 and 1 is no tuplet.
    ``cell`` counts the tuplet's place in the bar: pieces of one cell share a bracket.
    """

    offset: Quarters
    length: Quarters
    type: str
    dots: int
    actual: int = 1
    normal: int = 1
    cell: int = 0


@dataclass(frozen=True, slots=True)
class _Cell:
    """A stretch of a bar that a tuplet would fill, and the tuplet that it needs."""

    index: int
    start: Quarters
    end: Quarters
    actual: int = 1

    @property
    def normal(self) -> int:
        """Return the number of plain values: the greatest power of two below ``actual``."""
        return 1 << ((self.actual - 1).bit_length() - 1) if self.actual > 1 else 1


class BarGrid:
    """The beats of one bar and its tuplets, given all places where something begins or ends.

    ``length`` is the bar's own; ``shift`` is what is missing at the front of a pickup.
    """

    def __init__(
        self, metre: Metre, length: Quarters, shift: Quarters, places: Iterable[Quarters]
    ) -> None:
        self.length = length
        self.beats = _beats(metre, length, shift)
        half = len(metre.groups) // 2
        four = len(metre.groups) >= 4 and len(metre.groups) % 2 == 0
        self.middle = metre.beat_starts[half] - shift if four else None
        self.compound = any(group % 3 == 0 for group in metre.groups)
        self.cells = _cells(self.beats, Fraction(4, metre.unit), sorted(set(places)))

    def pieces(
        self, offset: Quarters, length: Quarters, *, rest: bool = False
    ) -> tuple[Piece, ...]:
        """Return the written values of something from an offset on, in order.

        >>> grid = BarGrid(Metre(), Fraction(4), Fraction(0), [])
        >>> [p.type for p in grid.pieces(Fraction(1, 2), Fraction(2))]
        ['eighth', 'quarter', 'eighth']
        """
        if length <= 0:
            return ()
        if rest and offset == 0 and length == self.length:
            return (Piece(offset, length, "whole", 0),)
        return tuple(self._cut(offset, offset + length, rest))

    def _cut(self, start: Quarters, end: Quarters, rest: bool) -> list[Piece]:
        cell = self._tuplet_at(start)
        if cell is not None and end <= cell.end:
            return self._in_tuplet(start, end, cell)
        at = cell.end if cell is not None else self._cut_at(start, end, rest)
        if at is None:
            name, dots = VALUES[end - start]
            return [Piece(start, end - start, name, dots)]
        return [*self._cut(start, at, rest), *self._cut(at, end, rest)]

    def _tuplet_at(self, at: Quarters) -> _Cell | None:
        return next((c for c in self.cells if c.actual > 1 and c.start <= at < c.end), None)

    def _in_tuplet(self, start: Quarters, end: Quarters, cell: _Cell) -> list[Piece]:
        """Return values inside a tuplet, cut at its own notes where one value cannot say it."""
        scale = Fraction(cell.actual, cell.normal)
        value = VALUES.get((end - start) * scale)
        if value is not None:
            how = (cell.actual, cell.normal, cell.index)
            return [Piece(start, end - start, *value, *how)]
        step = (cell.end - cell.start) / cell.actual
        at = _inner_place(start - cell.start, end - cell.start, step) + cell.start
        return [*self._in_tuplet(start, at, cell), *self._in_tuplet(at, end, cell)]

    def _cut_at(self, start: Quarters, end: Quarters, rest: bool) -> Quarters | None:
        """Return where to cut, None where one value says it well."""
        tuplet = [c.start for c in self.cells if c.actual > 1 and start < c.start < end]
        if tuplet:
            return tuplet[0]
        inside = [at for at, _ in self.beats if start < at < end]
        plain = (end - start) in VALUES
        if not inside:
            return None if plain else self._within_beat(start, end)
        if plain and self._reads_well(start, end, inside, rest):
            return None
        if self.middle in inside:
            return self.middle
        on_beat = any(at == start for at, _ in self.beats)
        return inside[-1] if on_beat else inside[0]

    def _reads_well(
        self, start: Quarters, end: Quarters, inside: Sequence[Quarters], rest: bool
    ) -> bool:
        """Return whether one plain value over beats still shows them."""
        beats = dict(self.beats)
        ends_on_beat = end in beats or end == self.length
        syncopated = inside == [(start + end) / 2] and start not in beats and not rest
        if self.middle in inside and start > 0:
            return (
                not rest and start in beats and ends_on_beat
                and self.middle == (start + end) / 2
            )  # fmt: skip
        if start in beats and ends_on_beat:
            dotted = VALUES[end - start][1]
            return not (rest and dotted and not self.compound)
        if self.compound or rest:
            return False
        if start in beats:
            return len(inside) == 1
        return syncopated and end - start == beats[inside[0]]

    def _within_beat(self, start: Quarters, end: Quarters) -> Quarters:
        """Return the strongest place inside a stretch that lies within one beat."""
        beat, length = next(((a, n) for a, n in reversed(self.beats) if a <= start), (start, 1))
        step = Fraction(length, 3 if self.compound and Fraction(length).numerator == 3 else 2)
        return _inner_place(start - beat, end - beat, step) + beat


def _inner_place(start: Quarters, end: Quarters, step: Quarters) -> Quarters:
    """Return the first multiple of a step inside a stretch, of a finer one where none is."""
    while step >= _FINEST / 64:
        place = (start // step + 1) * step
        if place < end:
            return place
        step /= 2
    raise ValueError(f"no written value for {end - start} quarters")


def _beats(
    metre: Metre, length: Quarters, shift: Quarters
) -> tuple[tuple[Quarters, Quarters], ...]:
    """Return (start, length) of the beats in a bar of any length."""
    beats = [
        (start - shift, beat) for start, beat in zip(metre.beat_starts, metre.beats, strict=True)
    ]
    while beats[-1][0] + beats[-1][1] < length:
        beats.append((beats[-1][0] + beats[-1][1], metre.beats[0]))
    inside = [(start, beat) for start, beat in beats if 0 <= start < length]
    if not inside or inside[0][0] > 0:
        inside.insert(0, (Fraction(0), inside[0][0] if inside else length))
    return tuple(inside)


def _cells(
    beats: Sequence[tuple[Quarters, Quarters]], unit: Quarters, places: Sequence[Quarters]
) -> tuple[_Cell, ...]:
    """Return the cells of a bar with the tuplets that its places ask for.

    A beat of one, two or four units is one cell; of three, each unit is one.
    """
    cells: list[_Cell] = []
    for start, beat in beats:
        count = int(beat / unit) if (beat / unit).denominator == 1 else 1
        size = beat if count & (count - 1) == 0 else unit
        at = start
        while at < start + beat:
            inside = [(place - at) / size for place in places if at < place < at + size]
            common = lcm(*(share.denominator for share in inside)) if inside else 1
            odd = common // (common & -common)
            cells.append(_Cell(len(cells), at, at + size, odd))
            at += size
    return tuple(cells)
