"""The key to the interval code: one small drawing and a few words for each family."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gripwright.draw.look import LIGHT, Family, Palette, altered, family
from gripwright.draw.marks import coded_mark
from gripwright.draw.svg import document
from gripwright.theory.interval import Degree

WORDS: dict[Family, str] = {
    "root": "root",
    "third": "third (or 2, 4)",
    "fifth": "fifth",
    "seventh": "sixth, seventh",
    "tension": "ninth and above",
}
_EXAMPLES: dict[Family, Degree] = {
    "root": Degree(1), "third": Degree(3), "fifth": Degree(5), "seventh": Degree(7),
    "tension": Degree(9),
}  # fmt: skip
_ALTERED = Degree(9, 1)
SIZE_MM = 4.0


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the key."""

    svg: str
    words: str


def legend(degrees: Iterable[Degree], colours: Palette = LIGHT) -> tuple[Entry, ...]:
    """Return the key to the families among ``degrees``, in the order of the code.

    >>> from gripwright.theory.interval import degrees
    >>> [entry.words for entry in legend(degrees("1 b7 #9"))][:2]
    ['root', 'sixth, seventh']
    """
    shown = list(degrees)
    families = {family(degree) for degree in shown}
    entries = [_entry(_EXAMPLES[name], words, colours)
               for name, words in WORDS.items() if name in families]  # fmt: skip
    if any(altered(degree) for degree in shown):
        entries.append(_entry(_ALTERED, "double outline: altered", colours))
    return tuple(entries)


def _entry(degree: Degree, words: str, colours: Palette) -> Entry:
    svg = document(
        coded_mark(degree, SIZE_MM * 0.8, SIZE_MM / 2, colours),
        width=SIZE_MM, height=SIZE_MM, unit="mm", title=words, description="key to the marks",
    )  # fmt: skip
    return Entry(svg, words)
