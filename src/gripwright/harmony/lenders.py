"""Modal interchange: the mode on the same tonic that a chord from outside a key comes from.

The minor lends its leading note too, to the chords on the fifth and seventh degrees. Lydian and
Phrygian lend only what is known as theirs: II and the half-diminished on the sharp fourth; the
major chord on the flat second. Common practice, no source.
"""

from __future__ import annotations

from functools import lru_cache

from gripwright.harmony.facts import Facts
from gripwright.theory.scale import Key

# Where a chord is borrowed from, the likeliest first.
_LENDERS = {
    "major": ("minor", "mixolydian", "dorian", "lydian", "phrygian"),
    "mixolydian": ("minor", "major", "dorian", "phrygian"),
    "lydian": ("major", "minor", "mixolydian"),
    "minor": ("dorian", "major", "phrygian"),
    "dorian": ("minor", "major", "phrygian"),
    "phrygian": ("minor", "major"),
    "locrian": ("phrygian", "minor"),
}
# What these modes lend: degrees above the tonic and the third on them.
_LENT = {
    "lydian": ((2, "major"), (6, "minor")),
    "phrygian": ((1, "major"),),
}
_ON_LEADING_NOTE = (7, 11)


@lru_cache(maxsize=16384)
def lender_of(chord: Facts, key: Key) -> Key | None:
    """Return the key that lends a chord to another on the same tonic, None if none does.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.scale import parse_key
    >>> from gripwright.theory.symbol import parse_symbol
    >>> lender_of(facts_of(parse_symbol("Fm7")), parse_key("C major")).name
    'C minor'
    """
    place = (chord.root - key.tonic.pc) % 12
    modes = _LENDERS[key.mode]
    if place == 7 and key.mode == "major":
        modes = ("mixolydian", *modes)  # a minor five has only its third from elsewhere
    for mode in modes:
        lent = _LENT.get(mode)
        if lent is not None and (place, chord.third) not in lent:
            continue
        notes = {note.pc for note in Key(key.tonic, mode).notes}
        if mode == "minor" and place in _ON_LEADING_NOTE:
            notes.add((key.tonic.pc - 1) % 12)
        if chord.pcs <= notes:
            return Key(key.tonic, mode)
    return None
