"""What the analysis of changes needs to know of a symbol, worked out once.

`facts_of` returns the same object for the same symbol, so that later tables may be keyed by it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from gripwright.theory.symbol import ChordSymbol

KINDS = ("maj", "7", "maj7", "min", "min7", "dim", "hdim", "dim7", "aug", "other")
THIRD_OF_KIND = dict(zip(KINDS, ("major",) * 3 + ("minor",) * 5 + ("major", "other"), strict=True))
LEADING_KINDS = ("dim", "dim7", "hdim")
COLOUR_OF_KIND = dict(
    zip(KINDS, ("maj", "7", "maj", "min", "min", *("dim",) * 3, "maj", "other"), strict=True)
)
# Kinds, and for chords without a third two sorts: a tone in its place, or a gap.
SORTS = (*KINDS[:-1], "sus", "open")


@dataclass(frozen=True, eq=False, slots=True)
class Facts:
    """A symbol's pitch classes and class.

    ``root`` and ``bass`` are pitch classes, ``above`` the pitch classes above the root that the
    symbol claims, ``pcs`` those that sound with the slash bass (``mask`` has a bit for each),
    ``kind`` one of `KINDS`. ``third`` is ``major``, ``minor`` or ``other``; ``dominant`` is a
    major triad with a minor seventh, its fifth as it may be.
    """

    symbol: ChordSymbol
    root: int
    bass: int
    above: frozenset[int]
    pcs: frozenset[int]
    kind: str
    mask: int = field(init=False)
    third: str = field(init=False)
    dominant: bool = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "mask", sum(1 << pc for pc in self.pcs))
        object.__setattr__(self, "third", THIRD_OF_KIND[self.kind])
        object.__setattr__(self, "dominant", self.kind == "7")

    @property
    def sort(self) -> str:
        """Return one of `SORTS`."""
        return self.kind if self.kind != "other" else "sus" if self.above & {2, 5} else "open"

    @property
    def inverted(self) -> bool:
        """Return whether another of its own notes than the root is in the bass."""
        return self.bass != self.root and (self.bass - self.root) % 12 in self.above


@lru_cache(maxsize=8192)
def facts_of(symbol: ChordSymbol) -> Facts:
    """Return the facts of a symbol.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> facts_of(parse_symbol("G7/B")).kind, facts_of(parse_symbol("G7/B")).bass
    ('7', 11)
    """
    above = frozenset(degree.pc for degree in symbol.degrees)
    root = symbol.root.pc
    return Facts(symbol, root, symbol.bass_note.pc, above, symbol.pcs, _kind(above))


def _kind(above: frozenset[int]) -> str:
    """Return the class of a chord by third, fifth and seventh."""
    if 4 in above:
        if 10 in above:
            return "7"
        if 11 in above:
            return "maj7"
        return "aug" if 8 in above and 7 not in above else "maj"
    if 3 in above:
        if 6 in above and 7 not in above:
            return "hdim" if 10 in above else "dim7" if 9 in above else "dim"
        return "min7" if 10 in above else "min"
    return "other"
