"""Plainer symbols for a student, and what each loses.

A symbol is made plainer by leaving out its highest degrees until a row of the table of
qualities is left, its third kept: C13, C9, C7, C. What is lost is told by degree.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.quality import BASES, Quality
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.rules import bass_is_free, may_leave_out


@dataclass(frozen=True, slots=True)
class Attempt:
    """A symbol to try in place of another; ``any_bass`` lets any of its notes be lowest."""

    symbol: ChordSymbol
    any_bass: bool = False

    def keeps_bass_of(self, symbol: ChordSymbol) -> bool:
        """Tell whether the written bass of a symbol is kept."""
        return not self.any_bass and self.symbol.bass_note == symbol.bass_note


@dataclass(frozen=True, slots=True)
class Loss:
    """What a grip does not give of a symbol.

    Degrees left out with their notes, and the bass where it moved: ``wanted`` and ``instead``.
    """

    degrees: tuple[Degree, ...] = ()
    notes: tuple[Note, ...] = ()
    wanted: Note | None = None
    instead: Note | None = None

    @property
    def bass(self) -> bool:
        """Tell whether another note than the written one is in the bass."""
        return self.instead is not None

    def __bool__(self) -> bool:
        return bool(self.degrees) or self.bass

    @property
    def text(self) -> str:
        """Return the loss in words."""
        parts = []
        if self.degrees:
            pairs = zip(self.degrees, self.notes, strict=True)
            gone = [f"the {degree.text} ({note.name})" for degree, note in pairs]
            parts.append(f"leaves out {' and '.join(gone)}")
        if self.instead and self.wanted:
            parts.append(f"{self.instead.name} is in the bass instead of {self.wanted.name}")
        return "; ".join(parts)


def plainer(symbol: ChordSymbol) -> tuple[ChordSymbol, ...]:
    """Return ever plainer symbols on the same root and bass, the nearest first.

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
            found.append((order, ChordSymbol(symbol.root, quality, symbol.bass)))
    return tuple(plain for _, plain in sorted(found, key=lambda row: row[0]))


def attempts(symbol: ChordSymbol) -> Iterator[Attempt]:
    """Yield what to try for a student: the written bass stays through all plainer symbols."""
    plain = (symbol, *plainer(symbol))
    yield from (Attempt(one) for one in plain)
    if symbol.bass is not None:
        yield from (Attempt(replace(one, bass=None)) for one in plain)
    yield from (Attempt(one, any_bass=True) for one in plain)


def loss_of(symbol: ChordSymbol, midis: Sequence[int], neck: Neck = STANDARD_NECK) -> Loss:
    """Return what pitches do not give of a symbol, beside what may always be left out."""
    heard = {(midi - symbol.root.pc) % 12 for midi in midis}
    free = set(may_leave_out(symbol.quality))
    gone = tuple(d for d in symbol.degrees if d.pc not in heard and d not in free)
    notes = tuple(note_at(symbol.root, d) for d in gone)
    lowest = min(midis, default=symbol.bass_note.pc) % 12
    wanted = symbol.bass_note
    if lowest == wanted.pc or bass_is_free(symbol, neck):
        return Loss(gone, notes)
    return Loss(gone, notes, wanted, _spelled(symbol, lowest))


def _spelled(symbol: ChordSymbol, pc: int) -> Note:
    """Return a pitch class as the symbol spells it."""
    return next((note for note in symbol.notes if note.pc == pc), simple_note(pc))
