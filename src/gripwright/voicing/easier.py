"""Plainer symbols for a student, and what each loses.

A symbol is made plainer by leaving out its highest degrees until a row of the table of
qualities is left, its third kept: C13, C9, C7, C. What is lost is told by degree.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gripwright.theory.interval import Degree
from gripwright.theory.quality import BASES, Quality
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.rules import may_leave_out


@dataclass(frozen=True, slots=True)
class Attempt:
    """A symbol to try in place of another; ``any_bass`` lets any of its notes be lowest."""

    symbol: ChordSymbol
    any_bass: bool = False


@dataclass(frozen=True, slots=True)
class Loss:
    """What a grip does not give of a symbol: degrees left out, and the bass where it moved."""

    degrees: tuple[Degree, ...] = ()
    bass: bool = False

    def __bool__(self) -> bool:
        return bool(self.degrees) or self.bass

    @property
    def text(self) -> str:
        """Return the loss in words."""
        parts = []
        if self.degrees:
            parts.append(f"leaves out the {' and the '.join(d.text for d in self.degrees)}")
        if self.bass:
            parts.append("another note is in the bass")
        return "; ".join(parts)


def plainer(symbol: ChordSymbol) -> tuple[ChordSymbol, ...]:
    """Return ever plainer symbols on the same root without a slash, the nearest first.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> [plain.text for plain in plainer(parse_symbol("C13"))]
    ['C9', 'C7', 'C']
    """
    claimed = set(symbol.degrees)
    found = []
    for name, base in BASES.items():
        quality = Quality(name)
        if set(base.degrees) < claimed and quality.third == symbol.quality.third:
            lost = sorted((d.number for d in claimed - set(base.degrees)), reverse=True)
            order = (len(lost), [-number for number in lost])
            found.append((order, ChordSymbol(symbol.root, quality)))
    return tuple(plain for _, plain in sorted(found, key=lambda row: row[0]))


def attempts(symbol: ChordSymbol) -> Iterator[Attempt]:
    """Yield what to try for a student, the symbol itself first."""
    yield Attempt(symbol)
    if symbol.bass is not None:
        yield Attempt(ChordSymbol(symbol.root, symbol.quality))
    yield Attempt(symbol, any_bass=True)
    for plain in plainer(symbol):
        yield Attempt(plain)
        yield Attempt(plain, any_bass=True)


def loss_of(symbol: ChordSymbol, midis: Sequence[int]) -> Loss:
    """Return what pitches do not give of a symbol, beside what may always be left out."""
    heard = {(midi - symbol.root.pc) % 12 for midi in midis}
    free = set(may_leave_out(symbol.quality))
    gone = tuple(d for d in symbol.degrees if d.pc not in heard and d not in free)
    lowest = min(midis, default=symbol.bass_note.pc)
    return Loss(gone, lowest % 12 != symbol.bass_note.pc)
