"""The naming table: every way to hear a pitch-class set from its bass.

The data file beside this module is written by ``scripts/build_naming_table.py``, which states
the rules and costs; docs/naming.md describes both. It is loaded once and never changed.
"""

from __future__ import annotations

import pkgutil
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import msgspec

from gripwright.theory.interval import Degree, parse_degree
from gripwright.theory.quality import Quality


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Form:
    """A quality with what sounds of it: ``degrees`` by pitch class above the root.

    ``seventh`` tells whether a third and a seventh sound, ``dominant`` whether a major third
    and a flat seventh do, ``fifth`` whether any fifth does, ``whole`` whether root, third and
    fifth do; ``doubtful`` is the pitch class of a sharp eleven or flat thirteen that a missing
    fifth might make an altered fifth, or None;
    ``bare_thirteenth`` tells whether a seventh and a thirteenth sound without a fifth;
    ``fixed`` are the degrees whose letters name the chord: a triad with its fifth and all that
    stacks on it in thirds or sixths, the third and seventh of a dominant, else the root alone.
    """

    quality: Quality
    text: str
    degrees: dict[int, Degree]
    omits: tuple[Degree, ...]
    seventh: bool
    dominant: bool
    fifth: bool
    whole: bool
    doubtful: int | None
    bare_thirteenth: bool
    fixed: frozenset[Degree]

    def slash(self, root: int) -> bool:
        """Return whether the bass is no note of the form on a root so far above it."""
        return -root % 12 not in self.degrees

    def triad_over(self, root: int) -> bool:
        """Return whether a plain triad lies over a bass that is none of its notes."""
        return self.text in ("", "m") and self.slash(root)


class Way(NamedTuple):
    """One way to hear a set: the root's interval above the bass, a form, its cost."""

    root: int
    form: Form
    cost: int


_FIFTHS = {"5", "b5", "#5"}


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    raw = pkgutil.get_data("gripwright.harmony", "naming.json")
    assert raw is not None, "naming.json ships with the package"
    table: dict[str, Any] = msgspec.json.decode(raw)
    return table


def cluster_above(notes: int) -> int:
    """Return the cost above which a best reading of so many different notes is no chord."""
    return int(_data()["cluster"][notes])


def limit(name: str) -> int:
    """Return ``halving``, ``faint`` or ``most``: how costs become weights, and how many."""
    return int(_data()[name])


def terms() -> dict[str, int]:
    """Return what voicing and context add to a way's cost, by name."""
    found: dict[str, int] = _data()["terms"]
    return found


@lru_cache(maxsize=4096)
def ways(mask: int) -> tuple[Way, ...]:
    """Return the ways to hear a set, cheapest first.

    ``mask`` has bit ``i`` set where a note sounds ``i`` semitones above the bass, so bit 0 is
    always set.
    """
    row = _data()["sets"][mask >> 1]
    return tuple(
        Way(row[i], _form(row[i + 1]), row[i + 2]) for i in range(0, len(row), 3)
    )  # fmt: skip


@lru_cache(maxsize=4096)
def _form(index: int) -> Form:
    text, sounding, gone, base, alterations, adds, numbers = _data()["forms"][index].split("|")
    heard, omits = _degrees(sounding), _degrees(gone)
    quality = Quality(base, _degrees(alterations), _degrees(adds), tuple(map(int, numbers.split())))
    by_pc = {degree.pc: degree for degree in heard}
    texts = {degree.text for degree in heard}
    doubtful = [d.pc for d in heard if d.text in ("#11", "b13") and not texts & _FIFTHS]
    seventh = bool(texts & {"3", "b3"} and texts & {"7", "b7"})
    dominant, fifth = {"3", "b7"} <= texts, bool(texts & _FIFTHS)
    fixed = frozenset(
        degree
        for degree in heard
        if degree.number in _fixed(texts) and (degree.number < 9 or not degree.alter)
    )
    whole = "1" in texts and bool(texts & {"3", "b3"}) and fifth
    low = doubtful[0] if doubtful else None
    bare = "13" in texts and bool(texts & {"7", "b7"}) and not fifth
    return Form(quality, text, by_pc, omits, seventh, dominant, fifth, whole, low, bare, fixed)


def _degrees(text: str) -> tuple[Degree, ...]:
    """Return degrees, the same object for the same degree, which makes them quick to compare."""
    return tuple(_degree(part) for part in text.split())


_degree = lru_cache(maxsize=64)(parse_degree)


def _fixed(texts: set[str]) -> tuple[int, ...]:
    stacked = (9, 13) if {"3", "b7"} <= texts and texts & {"9", "13"} else ()
    if "5" in texts and texts & {"3", "b3"}:
        return (1, 3, 5, 6, 7, *stacked)
    return (1, 3, 7, *stacked) if {"3", "b7"} <= texts else (1,)
