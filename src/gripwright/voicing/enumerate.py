"""Every grip that sounds a wish within limits, before any hand is asked.

The neck is cut between its strings in two halves. For each lowest pressed fret, each half
lists what it can play in the span; halves are sorted by the notes they sound, and only those
are joined that sound everything together. Each grip comes once: its lowest pressed fret is the
one of the pass that finds it. Sets of notes are bits: pitch classes, or MIDI numbers where
exact pitches are wished for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from gripwright.neck.tuning import MAX_FRET, Neck
from gripwright.voicing.limits import Limits
from gripwright.voicing.rules import Wish

Frets = tuple[int | None, ...]
_Choice = tuple[int | None, int, bool]
_SILENT, _NO_PITCH = 999, -1


@dataclass(frozen=True, slots=True)
class _Half:
    """What one half of the strings plays: frets, pitches, the lowest and the highest.

    ``touches`` tells that the lowest pressed fret of the pass is in it, ``opens`` that an open
    string is.
    """

    frets: Frets
    midis: tuple[int, ...]
    low: int
    high: int
    touches: bool
    opens: bool


class _Search:
    """One enumeration: what was asked for, and the sets of notes as bits."""

    def __init__(
        self, wish: Wish, neck: Neck, limits: Limits, furthest: Sequence[int] | None
    ) -> None:
        self.wish, self.neck, self.limits = wish, neck, limits
        self.furthest = furthest or [base + limits.span - 1 for base in range(MAX_FRET + 1)]
        self.opens = [neck.midi(index, 0) - neck.stops[index] for index in range(len(neck))]
        self.exact = wish.midi is not None
        self.needed = _bits(wish.required if wish.midi is None else wish.midi)
        self.groups = () if self.exact else tuple(_bits(group) for group in wish.one_of)
        self.allowed = self.needed if self.exact else _bits(wish.allowed)
        if wish.bass_only is not None:
            self.allowed |= 1 << wish.bass_only
        self.fewest, self.most = limits.notes
        if wish.midi is not None:
            self.fewest = self.most = len(wish.midi)

    def grips(self) -> Iterator[Frets]:
        """Yield the frets of every grip, each once."""
        middle = len(self.neck) // 2
        for base in self._bases():
            left = self._halves(range(middle), base)
            right = self._halves(range(middle, len(self.neck)), base)
            for one, lefts in left.items():
                for other, rights in right.items():
                    if self._complete(one, other):
                        yield from self._joined(lefts, rights, base)

    def _bases(self) -> Iterator[int]:
        """Yield the lowest pressed frets to try, from the nut; 0 for nothing pressed."""
        low, high = self.limits.frets
        if low == 0:
            yield 0
        stops = self.neck.stops
        yield from range(min(stops) + max(1, low), min(MAX_FRET, max(stops) + high) + 1)

    def _halves(self, strings: range, base: int) -> dict[int, list[_Half]]:
        """Return what some strings can play, by the set of notes that it sounds."""
        found: dict[int, list[_Half]] = {}
        for combination in product(*(self._choices(index, base) for index in strings)):
            bits, touches, low, high = 0, False, _SILENT, _NO_PITCH
            frets, midis = [], []
            for fret, midi, at_base in combination:
                frets.append(fret)
                if midi == _NO_PITCH:
                    continue
                midis.append(midi)
                bits |= 1 << (midi if self.exact else midi % 12)
                touches |= at_base
                low, high = min(low, midi), max(high, midi)
            if self.limits.doubling or bits.bit_count() == len(midis):
                half = _Half(tuple(frets), tuple(midis), low, high, touches, 0 in frets)
                found.setdefault(bits, []).append(half)
        return found

    def _choices(self, index: int, base: int) -> list[_Choice]:
        """Return (fret, pitch, whether it is the base) for one string, silence among them."""
        limits, stop = self.limits, self.neck.stops[index]
        found: list[_Choice] = []
        if limits.strings is None or index not in limits.strings:
            found.append((None, _NO_PITCH, False))
            if limits.strings is not None:
                return found
        low, high = limits.frets
        places = [stop] if low == 0 and limits.open_strings != "none" else []
        if base:
            last = min(self.furthest[base], MAX_FRET, stop + high)
            places += range(max(base, stop + max(low, 1)), last + 1)
        for at in places:
            midi = self.opens[index] + at
            if self.allowed >> (midi if self.exact else midi % 12) & 1:
                found.append((at - stop, midi, at == base and at > stop))
        return found

    def _complete(self, one: int, other: int) -> bool:
        """Tell whether two halves together sound all that is required."""
        bits = one | other
        if bits & self.needed != self.needed or (one & other and not self.limits.doubling):
            return False
        return all(bits & group for group in self.groups)

    def _joined(self, lefts: list[_Half], rights: list[_Half], base: int) -> Iterator[Frets]:
        needs_open = self.limits.open_strings == "some"
        for left in lefts:
            for right in rights:
                if base and not (left.touches or right.touches):
                    continue
                if not self.fewest <= len(left.midis) + len(right.midis) <= self.most:
                    continue
                if needs_open and not (left.opens or right.opens):
                    continue
                if self._edges_fit(left, right):
                    yield left.frets + right.frets

    def _edges_fit(self, left: _Half, right: _Half) -> bool:
        """Tell whether lowest and highest note are as asked, and a foreign bass only lowest."""
        low = left.low if left.low < right.low else right.low
        wish, limits = self.wish, self.limits
        if limits.bass is not None:
            if not limits.bass.fits(low):
                return False
        elif wish.basses is not None and low % 12 not in wish.basses:
            return False
        if limits.top is not None and not limits.top.fits(max(left.high, right.high)):
            return False
        foreign = wish.bass_only
        return foreign is None or all(
            midi == low for midi in left.midis + right.midis if midi % 12 == foreign
        )


def _bits(numbers: Iterable[int]) -> int:
    bits = 0
    for number in numbers:
        bits |= 1 << number
    return bits


def enumerate_grips(
    wish: Wish, neck: Neck, limits: Limits, furthest: Sequence[int] | None = None
) -> Iterator[Frets]:
    """Yield the frets of every grip that meets wish and limits (level aside), each once.

    ``furthest`` is the highest fret for each lowest pressed one, from the nut, where not the
    span alone decides.
    """
    return _Search(wish, neck, limits, furthest).grips()
