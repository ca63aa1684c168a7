"""Claims about how a new key is reached."""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import above, names, scale, sounds
from gripwright.theory.scale import Key

_ROMAN = {"I": 0, "II": 2, "III": 4, "IV": 5, "V": 7, "VI": 9, "VII": 11}
# Where the new tonic lies, for the steps that a listener names.
_STEPS = {1: ", up a half step", 2: ", up a whole step", 11: ", down a half step",
          10: ", down a whole step", 0: ", on the same tonic"}  # fmt: skip


def _pivot(claim: Claim) -> bool:
    """Check that both keys hold the chord, and that it stands in each where its numeral says."""
    one, two, here, there = claim.args
    chord = claim.subject[0]
    placed = all(
        _degree(numeral) == above(chord, key) for key, numeral in ((one, here), (two, there))
    )
    return one != two and sounds(chord) <= scale(one) & scale(two) and placed


def _say_pivot(claim: Claim) -> str:
    one, two, here, there = claim.args
    kin = ", its relative," if _relative(one, two) else ""
    numerals = " and ".join(text.replace("b", "♭").replace("#", "♯") for text in (here, there))
    return (
        f"the key moves from {one.pretty} to {two.pretty}{kin} through the pivot chord "
        f"{names(claim)[0]}, which belongs to both as {numerals}"
    )


def _degree(numeral: str) -> int:
    """Return the semitones of a numeral's root above the tonic."""
    roman = numeral.lstrip("b#")
    alter = numeral.count("#") - numeral.count("b")
    return (_ROMAN[roman.upper()] + alter) % 12


def _direct(claim: Claim) -> bool:
    one, two = claim.args
    both = scale(one) & scale(two)
    return one != two and not any(
        len(sounds(chord)) > 2 and sounds(chord) <= both for chord in claim.subject
    )


def _say_direct(claim: Claim) -> str:
    one, two = claim.args
    step = _STEPS.get((two.tonic.pc - one.tonic.pc) % 12, "")
    return f"the key moves from {one.pretty} to {two.pretty} directly{step}"


def _relative(one: Key, two: Key) -> bool:
    """Return whether two keys are a major and a minor one of the same notes."""
    return {one.mode, two.mode} == {"major", "minor"} and scale(one) == scale(two)


KINDS = {"pivot": Kind(_pivot, _say_pivot), "direct": Kind(_direct, _say_direct)}
