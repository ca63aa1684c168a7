"""Read Harte labels as chord symbols.

The syntax is that of Harte et al. (ISMIR 2005); beside its shorthands those that annotated
corpora use are read: ``11 maj11 min11 13 maj13 min13`` (a thirteenth does not imply the
eleventh here), ``5`` and ``1``.
"""

from __future__ import annotations

import re
from functools import lru_cache

from gripwright.errors import NoteError, SymbolError
from gripwright.theory.harte import SHORTHANDS
from gripwright.theory.interval import Degree, degrees, note_at, parse_degree
from gripwright.theory.pitch import LETTERS, Note
from gripwright.theory.quality import quality_of
from gripwright.theory.symbol import ChordSymbol

_ALSO = {
    "": "1 3 5", "1": "1", "5": "1 5", "11": "1 3 5 b7 9 11", "maj11": "1 3 5 7 9 11",
    "min11": "1 b3 5 b7 9 11", "13": "1 3 5 b7 9 13", "maj13": "1 3 5 7 9 13",
    "min13": "1 b3 5 b7 9 13",
}  # fmt: skip
_LABEL = re.compile(
    r"(?P<letter>[A-G])(?P<signs>[b#]*)"
    r"(?::(?P<short>[a-z0-9]*)(?:\((?P<changes>[^()]*)\))?)?(?:/(?P<bass>[b#]*\d+))?"
)


@lru_cache(maxsize=4096)
def parse_harte(label: str) -> ChordSymbol:
    """Read a Harte label; raises SymbolError, also for ``N`` and ``X``, which are no chords.

    >>> parse_harte("C:min7(11,*5)/b3").text
    'Cm7(add11,no5)/Eb'
    """
    match = _LABEL.fullmatch(label.strip())
    if not match:
        raise _wrong(label, "the syntax is root:shorthand(degrees)/bass")
    root = Note(LETTERS.index(match["letter"]), _count(match["signs"]))
    try:
        quality = quality_of(_content(match["short"], match["changes"]))
        bass = note_at(root, parse_degree(match["bass"])) if match["bass"] else None
    except (KeyError, NoteError) as error:
        raise _wrong(label, f"{error.args[0]!r} is not known") from error
    if quality is None:
        raise _wrong(label, "these degrees make no quality that has a symbol")
    return ChordSymbol(root, quality, None if bass == root else bass)


def _count(signs: str) -> int:
    return signs.count("#") - signs.count("b")


def _content(short: str | None, changes: str | None) -> frozenset[Degree]:
    """Return the degrees of a shorthand with changes; degrees alone imply the root only."""
    listed = [part.strip() for part in (changes or "").split(",") if part.strip()]
    if listed and not short:
        found = {Degree(1)}
    else:
        name = short or ""
        found = set(SHORTHANDS[name] if name in SHORTHANDS else degrees(_ALSO[name]))
    for part in listed:
        if part.startswith("*"):
            found -= {parse_degree(part[1:])}
        else:
            found |= {parse_degree(part)}
    return frozenset(found)


def _wrong(label: str, reason: str) -> SymbolError:
    return SymbolError(
        f"{label!r} is not a Harte label of a chord: {reason}",
        field="harte", at=0, remedy="write a label such as C:maj7 or A:min7/b3",
    )  # fmt: skip
