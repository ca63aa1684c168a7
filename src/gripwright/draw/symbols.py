"""Chord symbols set as type: runs of text, their width, and the same as SVG.

The root stands at full size, what follows it raised and at two thirds; accidentals are the
real signs. A second voicing's mark (``Am9'``) follows the symbol as a prime.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from gripwright.draw.look import SANS
from gripwright.draw.svg import clean, element, num
from gripwright.draw.type import width
from gripwright.errors import SymbolError
from gripwright.lesson.model import Chord
from gripwright.theory.symbol import ChordSymbol, Run, parse_symbol

RAISED_SIZE = 0.66
RAISED_BY = 0.4


def chord_runs(chord: Chord) -> tuple[Run, ...]:
    """Return what is printed for a chord: its symbol, or its name where it has none.

    A name that is no symbol follows the symbol it stands for.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> [run.text for run in chord_runs(Chord("Am9'", parse_symbol("Am9")))]
    ['Am', '9', '′']
    """
    primes = "′" * (len(chord.name) - len(chord.name.rstrip("'′")))
    if chord.symbol is None:
        return plain_runs(chord.name)
    tail = _own_name(chord.name.rstrip("'′")) + primes
    return (*chord.symbol.runs, Run(tail, raised=True)) if tail else chord.symbol.runs


def _own_name(name: str) -> str:
    """Return a name that says no symbol, with a space before it; "" for all others."""
    if "=" in name:
        return ""
    try:
        parse_symbol(name)
    except SymbolError:
        return f" {name}"
    return ""


def plain_runs(name: str) -> tuple[Run, ...]:
    """Return a name that is no symbol as one run, with real accidentals after note letters."""
    text = re.sub(r"(?<=\b[A-G])b", "♭", name)
    return (Run(re.sub(r"(?<=[A-G])#", "♯", text).replace("'", "′")),)


def runs_text(runs: Sequence[Run]) -> str:
    """Return the runs as plain text."""
    return "".join(run.text for run in runs)


def runs_width(runs: Sequence[Run], size: float, face: str = f"{SANS} SemiBold") -> float:
    """Return how wide the runs set, in the unit of ``size``."""
    return sum(width(run.text, size * (RAISED_SIZE if run.raised else 1), face) for run in runs)


def fit(runs: Sequence[Run], size: float, room: float, face: str = f"{SANS} SemiBold") -> float:
    """Return the size at which the runs fit in ``room``, at most ``size``."""
    wide = runs_width(runs, size, face)
    return size if wide <= room else size * room / wide


def symbol_svg(
    runs: Sequence[Run] | ChordSymbol,
    x: float,
    y: float,
    size: float,
    *,
    colour: str,
    anchor: str = "middle",
    family: str = SANS,
) -> str:
    """Return the runs as one SVG text with its baseline at ``y``.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> "♭9" in symbol_svg(parse_symbol("C7b9"), 0, 0, 10, colour="#000000")
    True
    """
    if isinstance(runs, ChordSymbol):
        runs = runs.runs
    spans, level = [], 0.0
    for run in runs:
        want = RAISED_BY * size if run.raised else 0.0
        spans.append(
            element(
                "tspan",
                clean(run.text),
                dy=level - want if level != want else None,
                font_size=num(size * RAISED_SIZE) if run.raised else None,
            )
        )
        level = want
    return element(
        "text", *spans, x=x, y=y, font_family=family, font_size=size,
        font_weight=600 if family == SANS else None, text_anchor=anchor, fill=colour,
        class_="symbol",
    )  # fmt: skip
