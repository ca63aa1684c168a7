"""Claims about chromatic chords: augmented sixths, Neapolitans, mediants, diminished sevenths."""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import (
    STEP_NAMES,
    above,
    bass_above,
    bass_step,
    basses,
    falls,
    has,
    in_key,
    is_dominant,
    is_major,
    name,
    names,
    sounds,
    strange,
)
from gripwright.theory.scale import Key

# What stands beside the frame of an augmented sixth, in semitones above the tonic. Names as in
# any harmony handbook (from memory).
_SIXTHS = {(): "an Italian", (3,): "a German", (2,): "a French"}


def _beside_frame(claim: Claim) -> tuple[int, ...] | None:
    """Return what a chord has beside flat six, sharp four and tonic; None without these."""
    tonic = claim.args[0].tonic.pc
    found = {(pc - tonic) % 12 for pc in sounds(claim.subject[0])}
    return tuple(sorted(found - {8, 6, 0})) if found >= {8, 6, 0} else None


def _augmented_sixth(claim: Claim) -> bool:
    (chord, after), key = claim.subject, claim.args[0]
    opens = bass_above(chord, key) == 8 and bass_above(after, key) == 7
    return opens and above(after, key) in (0, 7) and _beside_frame(claim) in _SIXTHS


def _say_augmented_sixth(claim: Claim) -> str:
    key: Key = claim.args[0]
    low, high, five = in_key(key, 6, -1), in_key(key, 4, 1), in_key(key, 5)
    which = _SIXTHS[_beside_frame(claim) or ()]
    return (
        f"{names(claim)[0]} is {which} augmented sixth: {low.pretty} and {high.pretty} "
        f"open out to {five.pretty}"
    )


def _neapolitan(claim: Claim) -> bool:
    """Check a plain major triad on the flat second that goes to the dominant, at once or not."""
    (chord, after), key = claim.subject, claim.args[0]
    triad = above(chord, key) == 1 and has(chord, 4, 7) and not has(chord, 10)
    fifth = above(after, key) == 7 and is_major(after) and not has(after, 11)
    six_four = above(after, key) == 0 and bass_above(after, key) == 7
    leading = above(after, key) in (6, 11) and has(after, 3, 6)  # of V, or in place of V
    return triad and (fifth or six_four or leading)


def _say_neapolitan(claim: Claim) -> str:
    chord, after = names(claim)
    return (
        f"{chord} is the Neapolitan, the major triad on the flat second of "
        f"{claim.args[0].pretty}, and goes on to {after}"
    )


def _mediant(claim: Claim) -> bool:
    one, two = claim.subject
    third = 4 if has(one, 4) else 3
    like = all(has(chord, third, 7) for chord in (one, two))
    triads = [{(c.root.pc + size) % 12 for size in (0, third, 7)} for c in (one, two)]
    return falls(one, two) in (3, 4, 8, 9) and like and len(triads[0] & triads[1]) == 1


def _say_mediant(claim: Claim) -> str:
    one, two = claim.subject
    size = min(falls(one, two), falls(two, one))
    return (
        f"{one.pretty} to {two.pretty} is a chromatic mediant: "
        f"like triads a {STEP_NAMES[size]} apart with one note in common"
    )


def _common_tone_diminished(claim: Claim) -> bool:
    chord, after = claim.subject
    return has(chord, 3, 6, 9) and after.root.pc in sounds(chord)


def _say_common_tone_diminished(claim: Claim) -> str:
    chord, after = claim.subject
    return (
        f"{chord.pretty} is a common-tone diminished seventh: it decorates {after.pretty}, "
        f"and {after.root.pretty} is in both"
    )


def _passing_diminished(claim: Claim) -> bool:
    """Check a bass that falls on by a half step, or climbs by half steps into it and out."""
    diminished = claim.subject[-2]
    if not has(diminished, 3, 6, 9):
        return False
    if len(claim.subject) == 2:
        return bass_step(*claim.subject) == -1
    one, two, three = claim.subject
    return bass_step(one, two) == bass_step(two, three) == 1


def _say_passing_diminished(claim: Claim) -> str:
    if len(claim.subject) == 3:
        one, two, three = names(claim)
        return (
            f"{two} is a passing diminished seventh between {one} and {three}: "
            f"the bass climbs {basses(claim)}"
        )
    chord, after = claim.subject
    bass, goal = after.bass_note.pretty, name(after)
    return (
        f"{chord.pretty} is a passing diminished seventh: "
        f"its bass falls a half step to {bass}, the bass of {goal}"
    )


def _side_step(claim: Claim) -> bool:
    before, chord, after = claim.subject
    alike = {degree.pc for degree in before.degrees} == {degree.pc for degree in chord.degrees}
    near = falls(before, chord) in (1, 11) and before.root.pc == after.root.pc
    leaves = bool(strange(chord, claim.args[0])) and not is_dominant(chord)
    return alike and near and leaves


def _say_side_step(claim: Claim) -> str:
    before, chord, after = claim.subject
    way = "up" if falls(before, chord) == 11 else "down"
    return (
        f"{chord.pretty} steps aside: the chord before it a half step {way}, "
        f"and back to {after.pretty}"
    )


KINDS = {
    "augmented-sixth": Kind(_augmented_sixth, _say_augmented_sixth),
    "neapolitan": Kind(_neapolitan, _say_neapolitan),
    "chromatic-mediant": Kind(_mediant, _say_mediant),
    "common-tone-diminished": Kind(_common_tone_diminished, _say_common_tone_diminished),
    "passing-diminished": Kind(_passing_diminished, _say_passing_diminished),
    "side-step": Kind(_side_step, _say_side_step),
}
