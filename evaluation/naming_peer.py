"""The peer of the naming evaluations: music21's `chordSymbolFigureFromChord`, as our symbols."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterable

from gripwright.errors import GripwrightError
from gripwright.theory.interval import Degree
from gripwright.theory.pitch import parse_note
from gripwright.theory.quality import quality_of
from gripwright.theory.symbol import ChordSymbol, parse_symbol

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import chord, harmony, pitch

_PLAIN = (1, 9, 9, 3, 3, 11, 11, 5, 13, 13, 7, 7)


def peer_figure(midi: Iterable[int]) -> str:
    """Return the peer's figure for sounding notes, as it prints it."""
    notes = chord.Chord([pitch.Pitch(midi=number) for number in sorted(midi)])
    return str(harmony.chordSymbolFigureFromChord(notes))


def peer_symbol(midi: Iterable[int]) -> ChordSymbol | None:
    """Return the peer's answer as a symbol, None where it gives no name that can be read."""
    figure = re.sub(r"([A-G])-", r"\1b", peer_figure(midi))
    named, *added = re.split(r"add(?=[A-G])", figure)
    head, _, bass = named.partition("/")
    try:
        symbol = parse_symbol(f"{head}/{bass}" if bass else head)
        extra = [_degree(symbol, name) for name in added]
        quality = quality_of({*symbol.degrees, *extra})
    except GripwrightError:
        return None
    return ChordSymbol(symbol.root, quality, symbol.bass) if quality else None


def _degree(symbol: ChordSymbol, name: str) -> Degree:
    above = (parse_note(name).pc - symbol.root.pc) % 12
    number = _PLAIN[above]
    plain = Degree(number)
    return Degree(number, (above - plain.pc + 6) % 12 - 6)
