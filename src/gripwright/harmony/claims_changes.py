"""Claims about changes, each with its own verifier.

The subject is a tuple of chord symbols in the order of playing (grips for ``shape-moved``);
args are keys, notes and sizes. The verifiers read the symbols' notes afresh and share no code
with the finders in `remarks`.
"""

from __future__ import annotations

import itertools
from functools import lru_cache

from gripwright.harmony import claims_changes_words as words
from gripwright.harmony.claims import Claim, Sentence, Verifier
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

_MAJOR_SIDE = ("major", "mixolydian", "lydian")


@lru_cache(maxsize=256)
def _scale(key: Key) -> frozenset[int]:
    return frozenset(note.pc for note in key.notes)


@lru_cache(maxsize=8192)
def _sounds(chord: ChordSymbol) -> frozenset[int]:
    return frozenset({*(note.pc for note in chord.notes), chord.bass_note.pc})


def _has(chord: ChordSymbol, *sizes: int) -> bool:
    """Return whether the chord sounds notes these many semitones above its root."""
    return all((chord.root.pc + size) % 12 in _sounds(chord) for size in sizes)


def _above(chord: ChordSymbol, key: Key) -> int:
    return (chord.root.pc - key.tonic.pc) % 12


def _bass_above(chord: ChordSymbol, key: Key) -> int:
    return (chord.bass_note.pc - key.tonic.pc) % 12


def _down(one: ChordSymbol, two: ChordSymbol) -> int:
    """Return the semitones that the root falls."""
    return (one.root.pc - two.root.pc) % 12


def _is_dominant(chord: ChordSymbol) -> bool:
    return _has(chord, 4, 10) and not _has(chord, 11)


def _diatonic(claim: Claim) -> bool:
    return _sounds(claim.subject[0]) <= _scale(claim.args[0])


def _leading_note(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    raised = (key.tonic.pc - 1) % 12
    return key.mode == "minor" and _sounds(chord) - _scale(key) == {raised}


def _borrowed(claim: Claim) -> bool:
    chord, (key, lender) = claim.subject[0], claim.args
    strange = _sounds(chord) - _scale(key)
    return bool(strange) and key.tonic == lender.tonic and strange <= _scale(lender) and (
        _sounds(chord) <= _scale(lender)
    )  # fmt: skip


def _secondary(claim: Claim) -> bool:
    """Check that a chord foreign to the key has the goal's leading note and the right root."""
    chord, (key, _, goal) = claim.subject[0], claim.args
    foreign = bool(_sounds(chord) - _scale(key))
    leads = (goal - 1) % 12 in _sounds(chord)
    fifth_above = (chord.root.pc - goal) % 12 == 7 and _has(chord, 4)
    below = (chord.root.pc - goal) % 12 == 11 and _has(chord, 3, 6)
    dominant = "dominant" in claim.name
    return foreign and leads and goal != key.tonic.pc and (fifth_above if dominant else below)


def _secondary_reached(claim: Claim) -> bool:
    return _secondary(claim) and claim.subject[1].root.pc == claim.args[2]


def _secondary_open(claim: Claim) -> bool:
    return _secondary(claim) and claim.subject[1].root.pc != claim.args[2]


def _tritone_substitute(claim: Claim) -> bool:
    chord, after = claim.subject
    stood_for = (chord.root.pc + 6) % 12
    shared = {(stood_for + 4) % 12, (stood_for + 10) % 12}
    return shared <= _sounds(chord) and _down(chord, after) == 1 and stood_for == (
        after.root.pc + 7
    ) % 12  # fmt: skip


def _backdoor(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    return _is_dominant(chord) and _above(chord, key) == 10 and _above(after, key) == 0 and (
        _has(after, 4)
    )  # fmt: skip


def _augmented_sixth(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    tonic = key.tonic.pc
    frame = {(tonic + 8) % 12, (tonic + 6) % 12, tonic}
    to_fifth = _above(after, key) == 7 or _bass_above(after, key) == 7
    return frame <= _sounds(chord) and _above(chord, key) == 8 and to_fifth


def _neapolitan(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    return _above(chord, key) == 1 and _has(chord, 4, 7) and not _has(chord, 10) and (
        _bass_above(after, key) == 7 and (_has(after, 4))
    )  # fmt: skip


def _mediant(claim: Claim) -> bool:
    one, two = claim.subject
    third = 4 if _has(one, 4) else 3
    triads = [{(c.root.pc + size) % 12 for size in (0, third, 7)} for c in (one, two)]
    common = triads[0] & triads[1]
    return _down(one, two) in (3, 4, 8, 9) and _has(one, third, 7) and _has(two, third, 7) and (
        len(common) == 1
    )  # fmt: skip


def _common_tone_diminished(claim: Claim) -> bool:
    chord, after = claim.subject
    return _has(chord, 3, 6, 9) and after.root.pc in _sounds(chord)


def _passing_diminished(claim: Claim) -> bool:
    chord, after = claim.subject
    return _has(chord, 3, 6, 9) and (chord.bass_note.pc - after.bass_note.pc) % 12 == 1


def _six_four(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    return _above(chord, key) == 0 and _bass_above(chord, key) == 7 and (
        _above(after, key) == 7 and _bass_above(after, key) == 7
    )  # fmt: skip


def _deceptive(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    goal = (_above(after, key), _has(after, 4))
    return _above(chord, key) == 7 and _has(chord, 4) and goal in ((9, False), (8, True))


def _minor_plagal(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    return key.mode in _MAJOR_SIDE and _above(chord, key) == 5 and _has(chord, 3) and (
        _above(after, key) == 0 and _has(after, 4)
    )  # fmt: skip


def _two_five_one(claim: Claim) -> bool:
    two, five, one = claim.subject
    return _down(two, five) == 7 and _down(five, one) == 7 and _has(two, 3) and _has(five, 4) and (
        _above(one, claim.args[0]) == 0
    )  # fmt: skip


def _turnaround(claim: Claim) -> bool:
    places = [_above(chord, claim.args[0]) for chord in claim.subject]
    return places[0] in (0, 4) and places[1] in (9, 3) and places[2] in (2, 8) and (
        places[3] in (7, 1) and places[4] == 0
    )  # fmt: skip


def _blues_dominant(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    return _is_dominant(chord) and _above(chord, key) in (0, 5) and key.mode in _MAJOR_SIDE


def _suspension(claim: Claim) -> bool:
    chord, note = claim.subject[0], claim.args[0]
    return note in _sounds(chord) and not _has(chord, 3) and not _has(chord, 4) and (
        (note - chord.root.pc) % 12 in (2, 5)
    )  # fmt: skip


def _suspension_resolves(claim: Claim) -> bool:
    chord, after = claim.subject
    third = _has(after, 4) or _has(after, 3)
    gone = claim.args[0] not in _sounds(after)
    return _suspension(claim) and after.root.pc == chord.root.pc and third and gone


def _suspension_stays(claim: Claim) -> bool:
    chord, after = claim.subject
    return _suspension(claim) and after.root.pc != chord.root.pc


def _pedal(claim: Claim) -> bool:
    basses = {chord.bass_note.pc for chord in claim.subject}
    roots = {chord.root.pc for chord in claim.subject}
    return len(basses) == 1 and len(roots) > 1 and len(claim.subject) > 2


def _line(claim: Claim) -> bool:
    sign, *line = claim.args
    steps = [(there - here) % 12 for here, there in itertools.pairwise(line)]
    chords = list(zip(line, claim.subject, strict=True))
    return (
        len(line) > 2
        and set(steps) == {sign % 12}
        and all(note in _sounds(chord) for note, chord in chords)
        and len({chord.root.pc for chord in claim.subject}) == 1
    )


def _parallel(claim: Claim) -> bool:
    first, *rest = claim.subject
    shape = {degree.pc for degree in first.degrees}
    steps = {
        (two.root.pc - one.root.pc) % 12 for one, two in zip(claim.subject, rest, strict=False)
    }
    same = all({degree.pc for degree in chord.degrees} == shape for chord in rest)
    small = min(claim.args[0], 12 - claim.args[0]) <= 3
    leaves = any(not _sounds(chord) <= _scale(claim.args[1]) for chord in claim.subject)
    return same and steps == {claim.args[0]} and len(rest) > 1 and small and leaves


def _shape_moved(claim: Claim) -> bool:
    one, two = claim.subject
    muted = [i for i, fret in enumerate(one.frets) if fret is None]
    moved = [None if fret is None else fret + claim.args[0] for fret in one.frets]
    return moved == list(two.frets) and 0 not in (*one.frets, *two.frets) and len(muted) < len(one)


def _bass_line(claim: Claim) -> bool:
    basses = [chord.bass_note.pc for chord in claim.subject]
    steps = {(two - one) % 12 for one, two in itertools.pairwise(basses)}
    return len(basses) > 4 and steps == {claim.args[0] % 12}


def _variable_degree(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    raised = {(key.tonic.pc + size) % 12 for size in (9, 11)}
    strange = _sounds(chord) - _scale(key)
    home = _above(chord, key) == 0 and _has(chord, 3)
    return key.mode == "minor" and bool(strange) and strange <= raised and (
        home or chord.bass_note.pc in raised
    )  # fmt: skip


def _major_third_at_home(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    strange = _sounds(chord) - _scale(key)
    return _above(chord, key) == 0 and strange == {(key.tonic.pc + 4) % 12}


def _picardy(claim: Claim) -> bool:
    return claim.args[0].mode == "minor" and _major_third_at_home(claim)


def _phrygian_major(claim: Claim) -> bool:
    return claim.args[0].mode == "phrygian" and _major_third_at_home(claim)


def _two_sub_one(claim: Claim) -> bool:
    two, sub, one = claim.subject
    falls = _down(two, sub) == _down(sub, one) == 1
    return falls and _has(two, 3) and _is_dominant(sub) and _above(one, claim.args[0]) == 0


def _pivot(claim: Claim) -> bool:
    one, two = claim.args
    return one != two and _sounds(claim.subject[0]) <= _scale(one) & _scale(two)


def _direct(claim: Claim) -> bool:
    one, two = claim.args
    both = _scale(one) & _scale(two)
    return one != two and not any(
        len(_sounds(chord)) > 2 and _sounds(chord) <= both for chord in claim.subject
    )


def _thread(claim: Claim) -> bool:
    """Check that both notes are in their chords at their degrees and lie this far apart."""
    (one, two), (note, degree, other, goal, motion) = claim.subject, claim.args
    return (
        (note.pc - one.root.pc - degree.semitones) % 12 == 0
        and (other.pc - two.root.pc - goal.semitones) % 12 == 0
        and note.pc in _sounds(one)
        and other.pc in _sounds(two)
        and (other.pc - note.pc - motion) % 12 == 0
    )


VERIFIERS: dict[str, Verifier] = {
    "diatonic": _diatonic,
    "leading-note": _leading_note,
    "borrowed": _borrowed,
    "secondary-dominant": _secondary_reached,
    "secondary-leading-tone": _secondary_reached,
    "secondary-dominant-unresolved": _secondary_open,
    "secondary-leading-tone-unresolved": _secondary_open,
    "tritone-substitute": _tritone_substitute,
    "backdoor": _backdoor,
    "augmented-sixth": _augmented_sixth,
    "neapolitan": _neapolitan,
    "chromatic-mediant": _mediant,
    "common-tone-diminished": _common_tone_diminished,
    "passing-diminished": _passing_diminished,
    "six-four": _six_four,
    "deceptive": _deceptive,
    "minor-plagal": _minor_plagal,
    "two-five-one": _two_five_one,
    "turnaround": _turnaround,
    "blues-dominant": _blues_dominant,
    "suspension-resolves": _suspension_resolves,
    "suspension-stays": _suspension_stays,
    "pedal": _pedal,
    "line": _line,
    "parallel": _parallel,
    "shape-moved": _shape_moved,
    "bass-line": _bass_line,
    "variable-degree": _variable_degree,
    "picardy": _picardy,
    "phrygian-major": _phrygian_major,
    "two-sub-one": _two_sub_one,
    "pivot": _pivot,
    "direct": _direct,
    "thread": _thread,
}
SENTENCES: dict[str, Sentence] = words.SENTENCES
