"""Claims about changes in words."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from gripwright.harmony.claims import Claim, Sentence
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

STEP_NAMES = {
    1: "half step", 2: "whole step", 3: "minor third", 4: "major third", 5: "fourth",
    6: "tritone", 7: "fifth", 8: "minor sixth", 9: "major sixth", 10: "minor seventh",
    11: "major seventh", 12: "octave",
}  # fmt: skip
# A run of equal steps by its size in semitones: how it moves.
_CYCLES = {
    1: "up by half steps", 11: "down by half steps", 2: "up by whole steps",
    10: "down by whole steps", 3: "up by minor thirds", 9: "down by minor thirds",
}  # fmt: skip


def listed(words: Sequence[str]) -> str:
    """Return words as a list in prose, ``A, B and C``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _note_in(pc: int, chords: Sequence[ChordSymbol]) -> Note:
    """Return a pitch class as one of the chords spells it."""
    spelled = [note for chord in chords for note in (*chord.notes, chord.bass_note)]
    return next(note for note in spelled if note.pc == pc)


def _strange(chord: ChordSymbol, key: Key) -> str:
    """Return the chord's notes that are not in the key, in words with their verb."""
    inside = {note.pc for note in key.notes}
    names = dict.fromkeys(n.pretty for n in (*chord.notes, chord.bass_note) if n.pc not in inside)
    return f"{listed(list(names))} {'is' if len(names) == 1 else 'are'}"


@lru_cache(maxsize=8192)
def _name(chord: ChordSymbol) -> str:
    return chord.pretty


def _pretty(claim: Claim) -> list[str]:
    return [_name(chord) for chord in claim.subject]


def _diatonic(claim: Claim) -> str:
    return f"every note of {_pretty(claim)[0]} belongs to {claim.args[0].pretty}"


def _leading_note(claim: Claim) -> str:
    key: Key = claim.args[0]
    raised = note_at(key.tonic, Degree(7))
    return f"{_pretty(claim)[0]} belongs to {key.pretty} with its leading note, {raised.pretty}"


def _borrowed(claim: Claim) -> str:
    key, lender = claim.args
    return (
        f"{_pretty(claim)[0]} is borrowed from {lender.pretty}: "
        f"{_strange(claim.subject[0], key)} not in {key.pretty}"
    )


def _role(claim: Claim) -> str:
    return "the dominant of" if "dominant" in claim.name else "the leading-tone chord of"


def _secondary(claim: Claim) -> str:
    chord, after = _pretty(claim)
    return f"{chord} is {_role(claim)} {after} ({claim.args[1]}), and goes there"


def _secondary_open(claim: Claim) -> str:
    chord, after = _pretty(claim)
    return f"{chord} is {_role(claim)} {claim.args[1]}, but goes to {after} instead"


def _tritone_substitute(claim: Claim) -> str:
    chord, after = claim.subject
    fifth = note_at(after.root, Degree(5))
    return (
        f"{chord.pretty} stands for {fifth.pretty}7: they share a tritone, "
        f"and the root falls a half step to {after.root.pretty}"
    )


def _backdoor(claim: Claim) -> str:
    chord, after = _pretty(claim)
    return f"{chord} comes to {after} by the back door: a dominant seventh a whole step below it"


def _augmented_sixth(claim: Claim) -> str:
    chord, after = claim.subject
    key: Key = claim.args[0]
    low, high = note_at(key.tonic, Degree(6, -1)), note_at(key.tonic, Degree(4, 1))
    five = note_at(key.tonic, Degree(5))
    return (
        f"{chord.pretty} is an augmented sixth chord: {low.pretty} and {high.pretty} "
        f"open out to {five.pretty}, the bass of {after.pretty}"
        if after.bass_note == five
        else f"{chord.pretty} is an augmented sixth chord: {low.pretty} and {high.pretty} "
        f"open out to {five.pretty}"
    )


def _neapolitan(claim: Claim) -> str:
    chord, after = _pretty(claim)
    return (
        f"{chord} is the Neapolitan, the major triad on the flat second of "
        f"{claim.args[0].pretty}, and goes on to {after}"
    )


def _mediant(claim: Claim) -> str:
    one, two = claim.subject
    size = min((one.root.pc - two.root.pc) % 12, (two.root.pc - one.root.pc) % 12)
    return (
        f"{one.pretty} to {two.pretty} is a chromatic mediant: "
        f"like triads a {STEP_NAMES[size]} apart with one note in common"
    )


def _common_tone_diminished(claim: Claim) -> str:
    chord, after = claim.subject
    return f"{chord.pretty} decorates {after.pretty}: {after.root.pretty} is in both"


def _passing_diminished(claim: Claim) -> str:
    chord, after = claim.subject
    return (
        f"{chord.pretty} passes: its bass falls a half step to "
        f"{after.bass_note.pretty}, the bass of {after.pretty}"
    )


def _six_four(claim: Claim) -> str:
    chord, after = _pretty(claim)
    return f"{chord} is a cadential six-four: it delays {after} over the same bass"


def _deceptive(claim: Claim) -> str:
    chord, after = _pretty(claim)
    return f"{chord} leads to {claim.args[0].tonic.pretty} but goes to {after}: a deceptive move"


def _minor_plagal(claim: Claim) -> str:
    chord, after = _pretty(claim)
    return f"{chord} to {after} is a plagal close with the subdominant in minor"


def _two_five_one(claim: Claim) -> str:
    key: Key = claim.args[0]
    return f"{listed(_pretty(claim))} are a two-five-one in {key.pretty}"


def _turnaround(claim: Claim) -> str:
    names = _pretty(claim)
    return f"{listed(names[:4])} are a turnaround: they lead back to {names[4]}"


def _blues_dominant(claim: Claim) -> str:
    chord = _pretty(claim)[0]
    return f"{chord} is at rest: its seventh is the colour of the blues and leans nowhere"


def _suspension_resolves(claim: Claim) -> str:
    chord, after = claim.subject
    note = _note_in(claim.args[0], (chord,))
    goal = f"{after.notes[1].pretty}, the third of {after.pretty}"
    return f"the {note.pretty} of {chord.pretty} resolves to {goal}"


def _suspension_stays(claim: Claim) -> str:
    chord, after = claim.subject
    note = _note_in(claim.args[0], (chord,))
    return f"{chord.pretty} goes to {after.pretty}: its {note.pretty} does not resolve to a third"


def _pedal(claim: Claim) -> str:
    bass = claim.subject[0].bass_note.pretty
    return f"{bass} stays in the bass under {listed(_pretty(claim))}: a pedal point"


def _line(claim: Claim) -> str:
    sign, *line = claim.args
    names = [_note_in(pc, (chord,)).pretty for pc, chord in zip(line, claim.subject, strict=True)]
    way = "down" if sign < 0 else "up"
    return f"a line creeps {way} by half steps while the chord stays: {', '.join(names)}"


def _parallel(claim: Claim) -> str:
    return f"{listed(_pretty(claim))} move in parallel, {_CYCLES[claim.args[0]]}"


def _shape_moved(claim: Claim) -> str:
    shift = claim.args[0]
    frets = "fret" if abs(shift) == 1 else "frets"
    way = "up" if shift > 0 else "down"
    return f"the same shape moves {way} {abs(shift)} {frets}"


def _bass_line(claim: Claim) -> str:
    way = "up" if claim.args[0] > 0 else "down"
    names = [chord.bass_note.pretty for chord in claim.subject]
    return f"the bass creeps {way} by half steps: {', '.join(names)}"


def _variable_degree(claim: Claim) -> str:
    chord, key = claim.subject[0], claim.args[0]
    raised = [note_at(key.tonic, degree) for degree in (Degree(6), Degree(7))]
    names = [note.pretty for note in raised if note.pc in chord.pcs]
    return f"{chord.pretty} is at home in {key.pretty}, whose sixth and seventh may be raised: " + (
        listed(names)
    )


def _picardy(claim: Claim) -> str:
    return f"{_pretty(claim)[0]} closes {claim.args[0].pretty} with a major third, a Picardy third"


def _phrygian_major(claim: Claim) -> str:
    return f"{_pretty(claim)[0]} is the tonic of {claim.args[0].pretty} with its third raised"


def _two_sub_one(claim: Claim) -> str:
    names, key = _pretty(claim), claim.args[0]
    return f"{listed(names)} are a two-five-one in {key.pretty}, {names[1]} in place of the five"


def _pivot(claim: Claim) -> str:
    one, two = claim.args
    return (
        f"the key moves from {one.pretty} to {two.pretty} through "
        f"{_pretty(claim)[0]}, which belongs to both"
    )


def _direct(claim: Claim) -> str:
    one, two = claim.args
    return f"the key moves from {one.pretty} to {two.pretty} directly"


def _thread(claim: Claim) -> str:
    (one, two), (note, degree, other, goal, motion) = claim.subject, claim.args
    here = f"{note.pretty}, the {_named(degree)} of {_name(one)},"
    there = f"the {_named(goal)} of {_name(two)}"
    if motion == 0:
        spelled = "" if note == other else f" {other.pretty},"
        return f"{here} stays as{spelled} {there}"
    verb = "rises" if motion > 0 else "falls"
    size = STEP_NAMES[abs(motion)] if abs(motion) in STEP_NAMES else f"{abs(motion)} half steps"
    article = "an" if size == "octave" else "" if size[0].isdigit() else "a"
    return f"{here} {verb} {article} {size} to {other.pretty}, {there}".replace("  ", " ")


def _named(degree: Degree) -> str:
    return "root" if degree.text == "1" else degree.pretty


SENTENCES: dict[str, Sentence] = {
    "diatonic": _diatonic,
    "leading-note": _leading_note,
    "borrowed": _borrowed,
    "secondary-dominant": _secondary,
    "secondary-leading-tone": _secondary,
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
