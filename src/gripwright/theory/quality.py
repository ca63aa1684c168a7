"""Chord qualities: what a symbol claims above its root.

A quality is a base (a row of `BASES`) with alterations, added notes and omissions. `degrees`
is what it says sounds, ordered by number. Base rows are common practice, no source; Harte
shorthands follow Harte et al. (ISMIR 2005), MusicXML kinds the W3C 4.0 list.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from gripwright.theory.interval import Degree, degrees


@dataclass(frozen=True, slots=True)
class Base:
    """One row: how it is written after the root, its degrees, Harte shorthand, MusicXML kind."""

    text: str
    degrees: tuple[Degree, ...]
    harte: str | None
    kind: str


def _base(text: str, content: str, harte: str | None, kind: str) -> Base:
    return Base(text, degrees(content), harte, kind)


BASES: dict[str, Base] = {
    base.text: base
    for base in (
        _base("", "1 3 5", "maj", "major"),
        _base("m", "1 b3 5", "min", "minor"),
        _base("dim", "1 b3 b5", "dim", "diminished"),
        _base("aug", "1 3 #5", "aug", "augmented"),
        _base("5", "1 5", None, "power"),
        _base("sus2", "1 2 5", "sus2", "suspended-second"),
        _base("sus4", "1 4 5", "sus4", "suspended-fourth"),
        _base("6", "1 3 5 6", "maj6", "major-sixth"),
        _base("m6", "1 b3 5 6", "min6", "minor-sixth"),
        _base("6/9", "1 3 5 6 9", None, "major-sixth"),
        _base("m6/9", "1 b3 5 6 9", None, "minor-sixth"),
        _base("7", "1 3 5 b7", "7", "dominant"),
        _base("maj7", "1 3 5 7", "maj7", "major-seventh"),
        _base("m7", "1 b3 5 b7", "min7", "minor-seventh"),
        _base("m(maj7)", "1 b3 5 7", "minmaj7", "major-minor"),
        _base("dim7", "1 b3 b5 bb7", "dim7", "diminished-seventh"),
        _base("m7(b5)", "1 b3 b5 b7", "hdim7", "half-diminished"),
        _base("dim(maj7)", "1 b3 b5 7", None, "diminished"),
        _base("7sus4", "1 4 5 b7", None, "suspended-fourth"),
        _base("7sus2", "1 2 5 b7", None, "suspended-second"),
        _base("maj7sus4", "1 4 5 7", None, "suspended-fourth"),
        _base("maj7sus2", "1 2 5 7", None, "suspended-second"),
        _base("9", "1 3 5 b7 9", "9", "dominant-ninth"),
        _base("maj9", "1 3 5 7 9", "maj9", "major-ninth"),
        _base("m9", "1 b3 5 b7 9", "min9", "minor-ninth"),
        _base("m(maj9)", "1 b3 5 7 9", None, "major-minor"),
        _base("9sus4", "1 4 5 b7 9", None, "suspended-fourth"),
        _base("11", "1 3 5 b7 9 11", "11", "dominant-11th"),
        _base("maj11", "1 3 5 7 9 11", "maj11", "major-11th"),
        _base("m11", "1 b3 5 b7 9 11", "min11", "minor-11th"),
        _base("13", "1 3 5 b7 9 13", "13", "dominant-13th"),
        _base("maj13", "1 3 5 7 9 13", "maj13", "major-13th"),
        _base("m13", "1 b3 5 b7 9 13", "min13", "minor-13th"),
        _base("13sus4", "1 4 5 b7 9 13", None, "suspended-fourth"),
        _base("7alt", "1 3 b5 #5 b7 b9 #9", None, "dominant"),
    )
}


@dataclass(frozen=True, slots=True)
class Quality:
    """A base with alterations (replace a fifth or ninth, or add), added notes and omissions.

    >>> [d.text for d in Quality("7", alterations=degrees("b9 #11")).degrees]
    ['1', '3', '5', 'b7', 'b9', '#11']
    """

    base: str
    alterations: tuple[Degree, ...] = ()
    adds: tuple[Degree, ...] = ()
    omits: tuple[int, ...] = ()

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """Return the degrees that the quality claims, by number and alteration."""
        replaced = {degree.number for degree in self.alterations if degree.number in (5, 9)}
        content = [d for d in BASES[self.base].degrees if d.number not in replaced]
        content += [d for d in (*self.alterations, *self.adds) if d not in content]
        return tuple(
            sorted((d for d in content if d.number not in self.omits), key=lambda d: d.order)
        )

    @property
    def third(self) -> str:
        """Return ``major``, ``minor``, ``sus`` or ``none``: what stands in the third's place."""
        numbers = {degree.text for degree in self.degrees}
        if "3" in numbers:
            return "major"
        if "b3" in numbers:
            return "minor"
        return "sus" if "sus" in self.base else "none"


def quality_of(content: Iterable[Degree]) -> Quality | None:
    """Return the shortest quality that claims exactly these degrees, None if there is none.

    The inverse of `Quality.degrees`: whatever it returns claims ``content`` again.

    >>> quality_of(degrees("1 3 5 b7 b9 13"))
    Quality(base='13', alterations=(Degree(number=9, alter=-1),), adds=(), omits=())
    """
    return _quality_of(frozenset(content))


@lru_cache(maxsize=8192)
def _quality_of(content: frozenset[Degree]) -> Quality | None:
    if len({degree.alter for degree in content if degree.number in (6, 13)}) > 1:
        return None  # nobody names a chord with two sixths: 13(b13) says one, the flat one
    ways = [way for base in BASES.values() if (way := _from_base(base, content)) is not None]
    return min(ways, key=_length, default=None)


def _length(quality: Quality) -> int:
    """Return how much has to be said beside the base: an omission says the most."""
    return 4 * len(quality.alterations) + 5 * len(quality.adds) + 12 * len(quality.omits)


def _from_base(base: Base, content: frozenset[Degree]) -> Quality | None:
    """Return the quality on one base that claims the content, None if that base cannot."""
    extra = sorted(content - set(base.degrees), key=lambda degree: degree.order)
    numbers = {degree.number for degree in content}
    gone = sorted({d.number for d in base.degrees if d.number not in numbers})
    if base.text != "dim7" and any(degree.number == 7 for degree in extra):
        return None
    seventh = any(degree.number in (6, 7) for degree in base.degrees)
    alterations = [d for d in extra if d.alter and (seventh or d.number < 9)]
    adds = [d for d in extra if d not in alterations]
    quality = Quality(base.text, tuple(alterations), tuple(adds), tuple(gone))
    return quality if set(quality.degrees) == content else None
