"""Chord qualities: what a symbol claims above its root.

A quality is a base (a row of `BASES`) with alterations, added notes and omissions. `degrees`
is what it says sounds, ordered by number. Base rows are common practice, no source; Harte
shorthands follow Harte et al. (ISMIR 2005), MusicXML kinds the W3C 4.0 list.
"""

from __future__ import annotations

from dataclasses import dataclass

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
