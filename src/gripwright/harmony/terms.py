"""Linear terms: what voicing, key and neighbours add to the cost of a way to hear a grip.

Below zero speaks for a way, above zero against it. The numbers live beside the table.
"""

from __future__ import annotations

from gripwright.harmony.table import Form, Way, terms
from gripwright.neck.grip import Sounding
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

_RISE, _FALL = {"#11", "#5", "#9"}, {"b5", "b13", "b9"}


def voicing_cost(way: Way, sounds: tuple[Sounding, ...], bass: Sounding) -> int:
    """Return what the doubling and the place of notes say."""
    weigh, form = terms(), way.form
    root_pc = (bass.midi + way.root) % 12
    above = [(sound.midi - root_pc) % 12 for sound in sounds]
    cost = weigh["root doubled"] * min(2, max(0, above.count(0) - 1))
    if form.slash(way.root) and above.count(-way.root % 12) > 1:
        cost += weigh["slash bass doubled"]
    if way.root and bass != sounds[0]:
        cost += weigh["root above the bass, bass on an inner string"]
    if form.doubtful is not None:
        lowest = min(s.midi for s, pc in zip(sounds, above, strict=True) if pc == form.doubtful)
        high = lowest - bass.midi > 12
        cost += weigh["tension for a fifth, high" if high else "tension for a fifth, low"]
    return cost


def context_cost(
    way: Way, bass_pc: int, key: Key | None, before: ChordSymbol | None, after: ChordSymbol | None
) -> int:
    """Return what the key and the neighbours say."""
    root = (bass_pc + way.root) % 12
    cost = 0 if key is None else _in_key(way.form, root, key)
    if after is not None:
        cost += _onward(way.form, root, after)
    if before is not None and way.form.seventh and (root - before.root.pc) % 12 == 5:
        cost += terms()["root fell a fifth"]
    return cost


def _in_key(form: Form, root: int, key: Key) -> int:
    """Return what the key says: its own roots, its tonic, its leading tone's diminished seventh."""
    weigh = terms()
    if form.quality.base == "dim7":
        return weigh["leading tone rises"] if (root + 1) % 12 == key.tonic.pc else 0
    if root == key.tonic.pc:
        return weigh["tonic"]
    return weigh["root in key" if root in {note.pc for note in key.notes} else "root out of key"]


def _onward(form: Form, root: int, after: ChordSymbol) -> int:
    """Return what the move to the next chord says: of the root, and of altered notes."""
    weigh = terms()
    rise = (after.root.pc - root) % 12
    if form.quality.base == "dim7":
        return weigh["leading tone rises"] if rise == 1 else 0
    cost = weigh["root falls a fifth"] if form.seventh and rise == 5 else 0
    for pc, degree in form.degrees.items():
        step = 1 if degree.text in _RISE else -1 if degree.text in _FALL else 0
        if step and (root + pc + step) % 12 in after.pcs:
            cost += weigh["altered note resolves"]
    return cost
