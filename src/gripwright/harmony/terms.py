"""Linear terms: what voicing, key and neighbours add to the cost of a way to hear a grip.

Below zero speaks for a way, above zero against it. The numbers live beside the table.
"""

from __future__ import annotations

from gripwright.harmony.table import Form, Way, terms
from gripwright.theory.interval import Degree
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

_FLAT_FIVE = Degree(5, -1)
_RISE, _FALL = {"#11", "#5", "#9"}, {"b5", "b13", "b9"}


def voicing_cost(way: Way, shape: tuple[int, ...]) -> int:
    """Return what the doubling and the place of notes say.

    ``shape`` is what sounds in semitones above the bass, bass-side string first.
    """
    weigh, form = terms(), way.form
    above = [(height - way.root) % 12 for height in shape]
    cost = weigh["root doubled"] * min(2, max(0, above.count(0) - 1))
    if way.root:
        cost += _another_bass(way, shape, above)
    elif form.bare_thirteenth and _lowest(shape, above, 9) < _lowest(shape, above, 10, 11):
        cost += weigh["thirteenth under its seventh"]
    if form.doubtful is not None:
        high = _lowest(shape, above, form.doubtful) > 12
        cost += weigh["tension for a fifth, high" if high else "tension for a fifth, low"]
    return cost


def _lowest(shape: tuple[int, ...], above: list[int], *pcs: int) -> int:
    """Return the lowest height of a note that lies so far above the root."""
    return min(height for height, pc in zip(shape, above, strict=True) if pc in pcs)


def _another_bass(way: Way, shape: tuple[int, ...], above: list[int]) -> int:
    """Return what the voicing says of a root that is not the bass."""
    weigh, form, low = terms(), way.form, -way.root % 12
    cost = _against_fifth(form, shape)
    if not form.whole and low in form.degrees and above.count(low) > 1:
        cost += weigh["bass doubled under a chord that is not whole"]
    if shape[0]:
        cost += weigh["root above the bass, bass on an inner string"]
        if low in form.degrees and form.degrees[low].number > 7:
            cost += weigh["tension as the bass, on an inner string"]
    if low in form.degrees:
        return cost
    if above.count(low) > 1:
        return cost + weigh["slash bass doubled"]
    if way.root == 2 and form.text in ("", "m") and len(above) > 4:
        cost += weigh["triad doubled over its flat seventh"]
    return cost


def _against_fifth(form: Form, shape: tuple[int, ...]) -> int:
    """Return what a fifth right above the bass says against a root that is not the bass.

    It says nothing against a root that has third and fifth of its own, nor do three notes alone.
    """
    if form.whole or len(shape) < 4:
        return 0
    weigh = terms()
    above = sorted(set(shape))[1:3]
    if above[:1] != [7] and above != [12, 19]:
        return 0
    cost = weigh["fifth right above a bass that is not the root"]
    if above[-1] in (12, 19):
        cost += weigh["octave on top of that fifth"]
    return cost + (0 if form.fifth else weigh["no fifth against that fifth"])


def context_cost(
    way: Way, bass_pc: int, key: Key | None, before: ChordSymbol | None, after: ChordSymbol | None
) -> int:
    """Return what the key and the neighbours say."""
    root = (bass_pc + way.root) % 12
    cost = 0 if key is None else _in_key(way.form, root, key)
    if after is not None:
        cost += _onward(way, root, after)
    if before is not None:
        cost += _from(way, root, before, after)
    return cost + _as_a_neighbour(way, root, before, after)


def _as_a_neighbour(
    way: Way, root: int, before: ChordSymbol | None, after: ChordSymbol | None
) -> int:
    """Return what it says that a chord beside it, over no slash bass, has the same root."""
    same = sum(
        near is not None and near.bass is None and near.root.pc == root for near in (before, after)
    )
    if way.root and 0 not in way.form.degrees:
        return 0
    name = "root of a neighbour above another bass" if way.root else "bass stays a root"
    return same * terms()[name]


def _from(way: Way, root: int, before: ChordSymbol, after: ChordSymbol | None) -> int:
    """Return what the move from the chord before says, and from there through to the next."""
    weigh, form = terms(), way.form
    if form.triad_over(way.root) and before.root.pc == root:
        return weigh["bass moves under a triad"]
    if not form.seventh or (root - before.root.pc) % 12 != 5:
        return 0
    cost = weigh["root fell a fifth"]
    if form.dominant and 0 not in form.degrees and after and (after.root.pc - root) % 12 == 5:
        cost += weigh["rootless between two and one"]
    return cost


def _in_key(form: Form, root: int, key: Key) -> int:
    """Return what the key says: its own roots, its tonic, its leading tone's diminished seventh."""
    weigh = terms()
    if form.quality.base == "dim7":
        return weigh["leading tone rises"] if (root + 1) % 12 == key.tonic.pc else 0
    letters = {note.pc: note for note in key.notes}
    if root not in letters:
        return weigh["root out of key"]
    cost = weigh["tonic" if root == key.tonic.pc else "root in key"]
    for pc in (6, 8) if 7 not in form.degrees else ():
        degree, note = form.degrees.get(pc), letters.get((root + pc) % 12)
        if degree and note and (note.step - letters[root].step - degree.number + 1) % 7:
            cost += weigh["fifth or tension against the letter of the key"]
    return cost


def _onward(way: Way, root: int, after: ChordSymbol) -> int:
    """Return what the move to the next chord says: of the root, and of altered notes."""
    weigh, form = terms(), way.form
    rise = (after.root.pc - root) % 12
    if form.quality.base == "dim7":
        return weigh["leading tone rises"] if rise == 1 else 0
    cost = weigh["root falls a fifth"] if form.seventh and rise == 5 else 0
    if rise == 11 and not way.root and form.dominant and form.degrees.get(6) != _FLAT_FIVE:
        cost += weigh["bass falls a half step"]
    for pc, degree in form.degrees.items():
        step = 1 if degree.text in _RISE else -1 if degree.text in _FALL else 0
        if step and (root + pc + step) % 12 in after.pcs:
            cost += weigh["altered note resolves"]
    return cost
