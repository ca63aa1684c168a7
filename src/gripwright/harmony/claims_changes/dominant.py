"""Claims about dominants and where they go: applied, substituted, by the back door, altered."""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import (
    above,
    falls,
    has,
    in_key,
    is_dominant,
    is_major,
    listed,
    names,
    note_in,
    sounds,
    strange,
    verb,
)
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.symbol import ChordSymbol

_ALTERED = (1, 3, 6, 8)  # flat and sharp nine, sharp eleven or flat five, flat thirteen


def _applied(claim: Claim) -> bool:
    """Check that a chord foreign to the key has the goal's leading note and the right root."""
    chord, (key, _, goal) = claim.subject[0], claim.args
    foreign = bool(strange(chord, key))
    leads = (goal - 1) % 12 in sounds(chord)
    fifth_above = (chord.root.pc - goal) % 12 == 7 and is_major(chord)
    below = (chord.root.pc - goal) % 12 == 11 and has(chord, 3, 6)
    dominant = "dominant" in claim.name
    return foreign and leads and goal != key.tonic.pc and (fifth_above if dominant else below)


def _reached(claim: Claim) -> bool:
    """Check that the goal follows, or the tonic's six-four where that is the dominant."""
    return _applied(claim) and (_goes_there(claim) or _delayed(claim))


def _open(claim: Claim) -> bool:
    return _applied(claim) and not _goes_there(claim)


def _goes_there(claim: Claim) -> bool:
    return bool(claim.subject[1].root.pc == claim.args[2])


def _delayed(claim: Claim) -> bool:
    after, (key, _, goal) = claim.subject[1], claim.args
    home = above(after, key) == 0
    return home and goal == after.bass_note.pc == (key.tonic.pc + 7) % 12


def _role(claim: Claim) -> str:
    return "dominant" if "dominant" in claim.name else "leading-tone chord"


def _say_reached(claim: Claim) -> str:
    chord, after = names(claim)
    goal = _numeral(claim.args[1])
    if not _goes_there(claim):
        return (
            f"{chord} is the secondary {_role(claim)} of {goal}, and {after} stands over its root"
        )
    if is_major(claim.subject[1]):
        goal = goal.upper()
    return f"{chord} is the secondary {_role(claim)} of {after} ({goal}), and goes there"


def _say_open(claim: Claim) -> str:
    chord, after = names(claim)
    goal = _numeral(claim.args[1])
    rises = (claim.subject[1].root.pc - claim.subject[0].root.pc) % 12 == 1
    instead = "instead, a deceptive move" if rises and "dominant" in claim.name else "instead"
    return f"{chord} is the secondary {_role(claim)} of {goal}, but goes to {after} {instead}"


def _numeral(text: str) -> str:
    return text.replace("b", "♭").replace("#", "♯").replace("o", "°")


def _tritone_substitute(claim: Claim) -> bool:
    chord, after = claim.subject
    stood_for = (chord.root.pc + 6) % 12
    shared = {(stood_for + 4) % 12, (stood_for + 10) % 12}
    falls_a_fifth = (stood_for - after.root.pc) % 12 == 7
    return shared <= sounds(chord) and falls(chord, after) == 1 and falls_a_fifth


def _say_tritone_substitute(claim: Claim) -> str:
    chord, after = claim.subject
    fifth = note_at(after.root, Degree(5))
    third, seventh = (note_at(fifth, degree).pretty for degree in (Degree(3), Degree(7, -1)))
    return (
        f"{chord.pretty} is the tritone substitute of {fifth.pretty}7: both have {seventh} and "
        f"{third}, and the root falls a half step to {after.root.pretty}"
    )


def _backdoor(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    home = (above(after, key), is_major(after)) in ((0, True), (4, False))
    return is_dominant(chord) and above(chord, key) == 10 and home


def _say_backdoor(claim: Claim) -> str:
    (chord, after), (one, two), key = claim.subject, names(claim), claim.args[0]
    if chord.root.pc == (after.root.pc - 2) % 12:
        return f"{one} is the backdoor dominant of {two}: it rises a whole step to it"
    return f"{one} is the backdoor dominant of {key.tonic.pretty}, for which {two} stands in"


def _altered_dominant(claim: Claim) -> bool:
    """Check that each note is altered and lies a half step from the next chord, one from abroad."""
    (chord, after), (key, *notes) = claim.subject, claim.args
    return (
        is_major(chord)
        and not has(chord, 11)
        and falls(chord, after) == 7
        and all(_leans(note, chord, after) for note in notes)
        and bool(set(notes) & strange(chord, key))
    )


def _leans(note: int, chord: ChordSymbol, after: ChordSymbol) -> bool:
    near = {(note + 1) % 12, (note - 1) % 12} & sounds(after)
    altered = (note - chord.root.pc) % 12 in _ALTERED
    return note in sounds(chord) and altered and bool(near)


def _say_altered_dominant(claim: Claim) -> str:
    chord, after = claim.subject
    degrees = {note.pc: degree for note, degree in zip(chord.notes, chord.degrees, strict=True)}
    notes = [f"{note_in(pc, chord).pretty} ({degrees[pc].pretty})" for pc in claim.args[1:]]
    return (
        f"{chord.pretty} has {verb(len(notes), 'an altered note', 'altered notes')}: "
        f"{listed(notes)} {verb(len(notes), 'lies', 'lie')} a half step from "
        f"{verb(len(notes), 'a note', 'notes')} of {after.pretty}"
    )


def _four_over_five(claim: Claim) -> bool:
    """Check a subdominant chord over the fifth, which has not the third of the dominant."""
    chord, key = claim.subject[0], claim.args[0]
    leading = (key.tonic.pc - 1) % 12
    over = (chord.bass_note.pc - key.tonic.pc) % 12 == 7
    return over and above(chord, key) in (2, 5) and leading not in sounds(chord)


def _say_four_over_five(claim: Claim) -> str:
    chord, key = claim.subject[0], claim.args[0]
    five, third = chord.bass_note.pretty, in_key(key, 7).pretty
    return f"{chord.pretty} is a suspended dominant: over {five}, without its third, {third}"


KINDS = {
    "secondary-dominant": Kind(_reached, _say_reached),
    "secondary-leading-tone": Kind(_reached, _say_reached),
    "secondary-dominant-unresolved": Kind(_open, _say_open),
    "secondary-leading-tone-unresolved": Kind(_open, _say_open),
    "tritone-substitute": Kind(_tritone_substitute, _say_tritone_substitute),
    "four-over-five": Kind(_four_over_five, _say_four_over_five),
    "backdoor": Kind(_backdoor, _say_backdoor),
    "altered-dominant": Kind(_altered_dominant, _say_altered_dominant),
}
