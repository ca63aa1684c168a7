"""Roman numerals: where a chord stands in its key.

Upper case for a major or augmented third, lower case for a minor or diminished chord; a chord
without a third takes the case of the key's own triad there, on a flat degree from outside the key
upper case. The degree is counted from the
major scale of the tonic, so ``bVI`` in major and in minor alike. ``o`` diminished, ``ø``
half-diminished, ``+`` augmented; ``7`` a minor seventh (diminished after ``o``), ``maj7`` a
major one; ``6 64 65 43 42`` inversions; ``V/ii`` an applied chord. Tensions are left to the
symbol. The cadential six-four is ``I64`` or ``i64``, a tritone substitute ``bII7`` (or the
flat degree above its goal). docs/harmony.md states all of it.
"""

from __future__ import annotations

from functools import lru_cache

from gripwright.harmony.applied import Applied, applied_to
from gripwright.harmony.facts import Facts
from gripwright.theory.interval import degree_between
from gripwright.theory.pitch import accidental
from gripwright.theory.scale import MODES, Key

ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII")
_FLAT_DEGREES = ((1, 0), (2, -1), (2, 0), (3, -1), (3, 0), (4, 0), (4, 1), (5, 0), (6, -1),
                 (6, 0), (7, -1), (7, 0))  # fmt: skip
_SHARP_DEGREES = ((1, 0), (1, 1), (2, 0), (2, 1), (3, 0), (4, 0), (4, 1), (5, 0), (5, 1),
                  (6, 0), (6, 1), (7, 0))  # fmt: skip
_FREE = {"major": {6}, "minor": {1, 3, 6, 8}, "other": {6}}  # where the writing decides
_SEVENTHS = {"7": "7", "maj7": "maj7", "min7": "7", "hdim": "7", "dim7": "7"}
_SIGNS = {"dim": "o", "dim7": "o", "hdim": "ø", "aug": "+"}
_TRIAD_FIGURES = {1: "6", 2: "64"}
_SEVENTH_FIGURES = {0: "7", 1: "65", 2: "43", 3: "42"}


def numeral(chord: Facts, key: Key, after: Facts | None = None) -> str:
    """Return the numeral of a chord in a key; ``after`` decides whether it is applied.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.scale import parse_key
    >>> from gripwright.theory.symbol import parse_symbol
    >>> a7, dm = (facts_of(parse_symbol(text)) for text in ("A7/C#", "Dm7"))
    >>> numeral(a7, parse_key("C major"), dm), numeral(dm, parse_key("C major"))
    ('V65/ii', 'ii7')
    """
    return _numeral(chord, key, applied_to(chord, key, after))


@lru_cache(maxsize=16384)
def _numeral(chord: Facts, key: Key, applied: Applied | None) -> str:
    if applied is None:
        number, alter = degree_in(chord, key)
        roman = _cased(chord, number, alter, key)
        bare = chord.kind == "min" and not chord.above & {6, 7, 8} and not alter
        if bare and _scale_step(key, number, 4) == 6:
            roman += "o"
        return accidental(alter) + _with_figures(chord, roman)
    head = "V" if applied.role == "V" else "vii"
    return f"{_with_figures(chord, head)}/{applied.goal}"


def degree_in(chord: Facts, key: Key) -> tuple[int, int]:
    """Return the number and alteration of a chord's root above the tonic.

    Major chords stand on flat degrees (``bVI``), diminished ones on sharp ones (``#iv``); where
    both are in use the chord's spelling decides.
    """
    pc = (chord.root - key.tonic.pc) % 12
    sharp = chord.kind in ("dim", "hdim", "dim7")
    usual = (_SHARP_DEGREES if sharp else _FLAT_DEGREES)[pc]
    written = degree_between(key.tonic, chord.symbol.root)
    place = (written.number, written.alter)
    free = pc in _FREE[chord.third]
    return place if free and place in (_SHARP_DEGREES[pc], _flat(pc)) else usual


def _flat(pc: int) -> tuple[int, int]:
    return (5, -1) if pc == 6 else _FLAT_DEGREES[pc]


def _cased(chord: Facts, number: int, alter: int, key: Key) -> str:
    roman = ROMAN[number - 1]
    if chord.third == "other":
        lent = alter < 0 and MODES[key.mode][number - 1].alter != alter  # as major, if at all
        small = number != 5 and not lent and _scale_step(key, number, 2) == 3
        return roman.lower() if small else roman
    return roman if chord.third == "major" else roman.lower()


def _scale_step(key: Key, number: int, steps: int) -> int:
    """Return the semitones from a degree of the key up to one so many steps higher."""
    scale = [degree.pc for degree in MODES[key.mode]]
    return (scale[(number - 1 + steps) % 7] - scale[number - 1]) % 12


def _with_figures(chord: Facts, roman: str) -> str:
    """Return a numeral with its quality sign, seventh and inversion."""
    names = {degree.text for degree in chord.symbol.degrees}
    sign = _SIGNS.get(chord.kind, "")
    if chord.kind == "7" and "#5" in names and not {"5", "b5"} & names:
        sign = "+"
    seventh = _SEVENTHS.get(chord.kind)
    if chord.kind == "min" and 11 in chord.above:
        seventh = "maj7"
    bass = (chord.bass - chord.root) % 12
    if seventh is None and bass in (10, 11):
        seventh = "7" if bass == 10 else "maj7"
    if chord.third == "other":
        return roman + _open_figures(names)
    place = {3: 1, 4: 1, 6: 2, 7: 2, 8: 2, 9: 3, 10: 3, 11: 3}.get(bass, 0)
    if seventh is None:
        added = "add6" if "6" in names and place == 0 else ""
        place = place if place < 3 else 0
        return roman + sign + (_TRIAD_FIGURES.get(place, "") or added)
    if place == 3 and bass == 9 and chord.kind != "dim7":
        place = 0
    return roman + sign + seventh.removesuffix("7") + _SEVENTH_FIGURES[place]


def _open_figures(names: set[str]) -> str:
    """Return the seventh and what stands where a third would; a bare fifth has no sign."""
    seventh = "7" if "b7" in names else "maj7" if "7" in names else ""
    if "4" in names or "11" in names:
        return f"{seventh}sus4"
    if "2" in names or "9" in names:
        return f"{seventh}sus2"
    return seventh
