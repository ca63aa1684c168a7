"""Claims about closes: six-four chords, suspensions, deceptive moves, and closes by name."""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import (
    MAJOR_SIDE,
    above,
    bass_above,
    bass_step,
    basses,
    has,
    is_major,
    is_minor,
    listed,
    names,
    note_in,
    sounds,
)


def _six_four(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    over_five = above(chord, key) == 0 and bass_above(chord, key) == 7
    return over_five and above(after, key) == 7 and bass_above(after, key) == 7


def _say_six_four(claim: Claim) -> str:
    chord, after = names(claim)
    return f"{chord} is a cadential six-four: it delays {after} over the same bass"


def _passing_six_four(claim: Claim) -> bool:
    before, chord, after = claim.subject
    over_five = (chord.bass_note.pc - chord.root.pc) % 12 == 7 and not has(chord, 10)
    steps = bass_step(before, chord), bass_step(chord, after)
    return over_five and (set(steps) <= {1, 2} or set(steps) <= {-1, -2})


def _say_passing_six_four(claim: Claim) -> str:
    return f"{names(claim)[1]} is a passing six-four: the bass walks {basses(claim)}"


def _deceptive(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    goal = (above(after, key), is_major(after))
    return above(chord, key) == 7 and is_major(chord) and goal in ((9, False), (8, True))


def _say_deceptive(claim: Claim) -> str:
    chord, after = names(claim)
    return f"{chord} leads to {claim.args[0].tonic.pretty} but goes to {after}: a deceptive move"


def _minor_plagal(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    home = above(after, key) == 0 and is_major(after)
    return key.mode in MAJOR_SIDE and above(chord, key) == 5 and is_minor(chord) and home


def _say_minor_plagal(claim: Claim) -> str:
    chord, after = names(claim)
    return f"{chord} to {after} is a plagal move home, with the subdominant in minor"


def _plagal(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    like = is_major(chord) == is_major(after) and is_minor(chord) == is_minor(after)
    like = like and not has(chord, 10) and not has(after, 10)
    rooted = all(one.bass_note.pc == one.root.pc for one in claim.subject)
    return above(chord, key) == 5 and above(after, key) == 0 and like and rooted


def _say_plagal(claim: Claim) -> str:
    chord, after = names(claim)
    return f"{chord} to {after} is a plagal close, from the subdominant home"


def _phrygian_half_close(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    four = above(chord, key) == 5 and is_minor(chord) and bass_above(chord, key) == 8
    five = above(after, key) == bass_above(after, key) == 7 and is_major(after)
    return key.mode == "minor" and four and five


def _say_phrygian_half_close(claim: Claim) -> str:
    chord, after = claim.subject
    return (
        f"{chord.pretty} to {after.pretty} is a Phrygian half close: the bass falls a half step, "
        f"{chord.bass_note.pretty} to {after.bass_note.pretty}"
    )


def _flat_six_seven_one(claim: Claim) -> bool:
    six, seven, one = claim.subject
    degrees = [above(chord, claim.args[0]) for chord in (six, seven, one)]
    home = one.bass_note.pc == one.root.pc
    return degrees == [8, 10, 0] and is_major(six) and is_major(seven) and home


def _say_flat_six_seven_one(claim: Claim) -> str:
    six, seven, one = names(claim)
    tonic = "I" if is_major(claim.subject[2]) else "i"
    return f"{six} and {seven} climb by whole steps to {one}: the close ♭VI, ♭VII, {tonic}"


def _double_plagal(claim: Claim) -> bool:
    seven, four, one = claim.subject
    degrees = [above(chord, claim.args[0]) for chord in (seven, four, one)]
    home = one.bass_note.pc == one.root.pc and seven.bass_note.pc != one.root.pc
    return degrees == [10, 5, 0] and is_major(seven) and is_major(four) and home


def _say_double_plagal(claim: Claim) -> str:
    seven, four, one = names(claim)
    return f"{seven}, {four} and {one} fall by fourths: a double plagal close"


def _andalusian(claim: Claim) -> bool:
    """Check roots in the bass that walk down four steps to a major chord, the last by a half."""
    key = claim.args[0]
    roots = [above(chord, key) for chord in claim.subject]
    walk = {"minor": [0, 10, 8, 7], "phrygian": [5, 3, 1, 0]}.get(key.mode)
    in_bass = all(chord.bass_note.pc == chord.root.pc for chord in claim.subject)
    first, *rest = claim.subject
    return roots == walk and in_bass and is_minor(first) and all(map(is_major, rest))


def _say_andalusian(claim: Claim) -> str:
    key = claim.args[0]
    goal = "fifth" if key.mode == "minor" else "tonic"
    return f"{listed(names(claim))} walk down to the {goal} of {key.pretty}: the Andalusian cadence"


def _suspension(claim: Claim) -> bool:
    chord, note = claim.subject[0], claim.args[0]
    open_third = not has(chord, 3) and not has(chord, 4)
    return note in sounds(chord) and open_third and (note - chord.root.pc) % 12 in (2, 5)


def _suspension_resolves(claim: Claim) -> bool:
    chord, after = claim.subject
    third = has(after, 4) or has(after, 3)
    gone = claim.args[0] not in sounds(after)
    return _suspension(claim) and after.root.pc == chord.root.pc and third and gone


def _say_suspension_resolves(claim: Claim) -> str:
    chord, after = claim.subject
    note = note_in(claim.args[0], chord).pretty
    third = next(note for note in after.notes if (note.pc - after.root.pc) % 12 in (3, 4))
    goal = f"{third.pretty}, the third of {after.pretty}"
    return f"the suspended {note} of {chord.pretty} resolves to {goal}"


def _suspension_stays(claim: Claim) -> bool:
    chord, after = claim.subject
    return _suspension(claim) and after.root.pc != chord.root.pc


def _say_suspension_stays(claim: Claim) -> str:
    chord, after = claim.subject
    note = note_in(claim.args[0], chord)
    held = note.pc in sounds(after)
    ending = f"stays on in {after.pretty}" if held else f"gives way to {after.pretty}"
    return f"the suspended {note.pretty} of {chord.pretty} does not resolve to a third: it {ending}"


KINDS = {
    "six-four": Kind(_six_four, _say_six_four),
    "passing-six-four": Kind(_passing_six_four, _say_passing_six_four),
    "deceptive": Kind(_deceptive, _say_deceptive),
    "minor-plagal": Kind(_minor_plagal, _say_minor_plagal),
    "plagal": Kind(_plagal, _say_plagal),
    "phrygian-half-close": Kind(_phrygian_half_close, _say_phrygian_half_close),
    "flat-six-seven-one": Kind(_flat_six_seven_one, _say_flat_six_seven_one),
    "double-plagal": Kind(_double_plagal, _say_double_plagal),
    "andalusian": Kind(_andalusian, _say_andalusian),
    "suspension-resolves": Kind(_suspension_resolves, _say_suspension_resolves),
    "suspension-stays": Kind(_suspension_stays, _say_suspension_stays),
}
