"""Claims about one chord in its key: of the key, borrowed, or with a colour of its own."""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import (
    MAJOR_SIDE,
    above,
    has,
    in_key,
    is_dominant,
    is_minor,
    listed,
    names,
    note_in,
    scale,
    sounds,
    strange,
    strange_names,
    verb,
)
from gripwright.theory.scale import Key

# The note that tells a mode from plain major or minor: semitones above the tonic, and its name.
COLOURS = {
    "dorian": (9, "natural sixth"), "phrygian": (1, "flat second"), "lydian": (6, "sharp fourth"),
    "mixolydian": (10, "flat seventh"), "locrian": (6, "flat fifth"),
}  # fmt: skip


def _diatonic(claim: Claim) -> bool:
    return sounds(claim.subject[0]) <= scale(claim.args[0])


def _say_diatonic(claim: Claim) -> str:
    return f"{names(claim)[0]} is diatonic: every note of it belongs to {claim.args[0].pretty}"


def _leading_note(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    return key.mode == "minor" and strange(chord, key) == {(key.tonic.pc - 1) % 12}


def _say_leading_note(claim: Claim) -> str:
    key: Key = claim.args[0]
    raised = in_key(key, 7).pretty
    return f"{names(claim)[0]} belongs to {key.pretty} with its leading note, {raised}"


def _borrowed(claim: Claim) -> bool:
    """Check that the lender, with its leading note where that is minor, holds the chord."""
    chord, (key, lender) = claim.subject[0], claim.args
    leading = {(key.tonic.pc - 1) % 12} if lender.mode == "minor" else set()
    return (
        key.tonic == lender.tonic
        and bool(strange(chord, key))
        and strange(chord, key) <= scale(lender)
        and sounds(chord) <= scale(lender) | leading
    )


def _say_borrowed(claim: Claim) -> str:
    key, lender = claim.args
    notes = strange_names(claim.subject[0], key)
    return (
        f"{names(claim)[0]} is borrowed from {lender.pretty}: "
        f"{listed(notes)} {verb(len(notes), 'is', 'are')} not in {key.pretty}"
    )


def _blues_dominant(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    return is_dominant(chord) and above(chord, key) in (0, 5) and key.mode in MAJOR_SIDE


def _say_blues_dominant(claim: Claim) -> str:
    chord = names(claim)[0]
    return f"{chord} is at rest: its seventh is the colour of the blues and leans nowhere"


def _variable_degree(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    raised = {(key.tonic.pc + size) % 12 for size in (9, 11)}
    notes = strange(chord, key)
    home = above(chord, key) == 0 and is_minor(chord)
    return (
        key.mode == "minor"
        and bool(notes)
        and notes <= raised
        and (home or chord.bass_note.pc in raised)
    )


def _say_variable_degree(claim: Claim) -> str:
    chord, key = claim.subject[0], claim.args[0]
    raised = [note for note in (in_key(key, 6), in_key(key, 7)) if note.pc in sounds(chord)]
    return (
        f"{chord.pretty} is at home in {key.pretty}, whose sixth and seventh may be raised: "
        f"{listed([note.pretty for note in raised])}"
    )


def _major_third_at_home(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    return above(chord, key) == 0 and strange(chord, key) == {(key.tonic.pc + 4) % 12}


def _picardy(claim: Claim) -> bool:
    return claim.args[0].mode == "minor" and _major_third_at_home(claim)


def _say_picardy(claim: Claim) -> str:
    return f"{names(claim)[0]} closes {claim.args[0].pretty} with a major third, a Picardy third"


def _phrygian_major(claim: Claim) -> bool:
    return claim.args[0].mode == "phrygian" and _major_third_at_home(claim)


def _say_phrygian_major(claim: Claim) -> str:
    return f"{names(claim)[0]} is the tonic of {claim.args[0].pretty} with its third raised"


def _mode_colour(claim: Claim) -> bool:
    chord, key = claim.subject[0], claim.args[0]
    if key.mode not in COLOURS:
        return False
    size, _ = COLOURS[key.mode]
    return sounds(chord) <= scale(key) and (key.tonic.pc + size) % 12 in sounds(chord)


def _say_mode_colour(claim: Claim) -> str:
    chord, key = claim.subject[0], claim.args[0]
    size, words = COLOURS[key.mode]
    if above(chord, key) == size:
        return f"{chord.pretty} stands on the {words} that makes {key.pretty}"
    note = note_in((key.tonic.pc + size) % 12, chord).pretty
    return f"{chord.pretty} has {note}, the {words} that makes {key.pretty}"


def _unthirded(claim: Claim) -> bool:
    return not has(claim.subject[0], 3) and not has(claim.subject[0], 4)


KINDS = {
    "diatonic": Kind(_diatonic, _say_diatonic),
    "leading-note": Kind(_leading_note, _say_leading_note),
    "borrowed": Kind(lambda claim: _borrowed(claim) and not _unthirded(claim), _say_borrowed),
    "blues-dominant": Kind(_blues_dominant, _say_blues_dominant),
    "variable-degree": Kind(_variable_degree, _say_variable_degree),
    "picardy": Kind(_picardy, _say_picardy),
    "phrygian-major": Kind(_phrygian_major, _say_phrygian_major),
    "mode-colour": Kind(_mode_colour, _say_mode_colour),
}
