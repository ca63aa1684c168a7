"""The naming table: every way to hear a pitch-class set from its bass.

The data file beside this module is written by ``scripts/build_naming_table.py``, which states
the rules and costs; docs/naming.md describes both. It is loaded once and never changed.
"""

from __future__ import annotations

import pkgutil
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import msgspec

from gripwright.theory.interval import Degree, degrees
from gripwright.theory.quality import Quality, quality_of


@dataclass(frozen=True, slots=True)
class Form:
    """A quality with what sounds of it: ``degrees`` by pitch class above the root."""

    quality: Quality
    degrees: dict[int, Degree]
    omits: tuple[Degree, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to hear a set: the root's interval above the bass, a form, its cost."""

    root: int
    form: Form
    cost: int


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    raw = pkgutil.get_data("gripwright.harmony", "naming.json")
    assert raw is not None, "naming.json ships with the package"
    table: dict[str, Any] = msgspec.json.decode(raw)
    return table


def cluster_above(notes: int) -> int:
    """Return the cost above which a best reading of so many different notes is no chord."""
    return int(_data()["cluster"][notes])


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
    _, sounding, gone = _data()["forms"][index].split("|")
    heard, omits = degrees(sounding), degrees(gone)
    quality = quality_of((*heard, *omits))
    assert quality is not None, "the builder writes only forms that have a quality"
    return Form(quality, {degree.pc: degree for degree in heard}, omits)
