"""Linear terms: what voicing, key and neighbours add to the cost of a way to hear a grip."""

from __future__ import annotations

from gripwright.harmony.table import Way, terms
from gripwright.neck.grip import Sounding
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol


def voicing_cost(way: Way, sounds: tuple[Sounding, ...], bass: Sounding) -> int:
    """Return what the doubling and the place of notes say for (below zero) or against a way."""
    root_pc = (bass.midi + way.root) % 12
    above = [(sound.midi - root_pc) % 12 for sound in sounds]
    weigh = terms()
    cost = weigh["root doubled"] * min(2, max(0, above.count(0) - 1))
    if -way.root % 12 not in way.form.degrees and above.count(-way.root % 12) > 1:
        cost += weigh["slash bass doubled"]
    if way.root and bass != sounds[0]:
        cost += weigh["root above the bass, bass on an inner string"]
    return cost


def context_cost(
    way: Way, bass_pc: int, key: Key | None, before: ChordSymbol | None, after: ChordSymbol | None
) -> int:
    """Return what the key and the neighbours say for (below zero) or against a way."""
    weigh = terms()
    root = (bass_pc + way.root) % 12
    cost = 0
    if key is not None:
        scale = {note.pc for note in key.notes}
        cost += weigh["root in key" if root in scale else "root out of key"]
        cost += weigh["tonic"] if root == key.tonic.pc else 0
    if after is not None:
        cost += _move(way, (after.root.pc - root) % 12)
    if before is not None:
        cost += weigh["falls a fifth"] if (root - before.root.pc) % 12 == 5 else 0
    return cost


def _move(way: Way, rise: int) -> int:
    """Return what the root's move to the next chord says; ``rise`` in semitones upward."""
    weigh = terms()
    if way.form.quality.base == "dim7":
        return weigh["leading tone rises"] if rise == 1 else 0
    return weigh["falls a fifth"] if rise == 5 else 0
