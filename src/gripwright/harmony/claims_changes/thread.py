"""The claim of a thread: a note of one chord, a note of the next, and how far it moves."""

from __future__ import annotations

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import STEP_NAMES, name, sounds
from gripwright.theory.interval import Degree


def _thread(claim: Claim) -> bool:
    """Check that both notes are in their chords at their degrees and lie this far apart."""
    (one, two), (note, degree, other, goal, motion) = claim.subject, claim.args
    return (
        (note.pc - one.root.pc - degree.semitones) % 12 == 0
        and (other.pc - two.root.pc - goal.semitones) % 12 == 0
        and note.pc in sounds(one)
        and other.pc in sounds(two)
        and (other.pc - note.pc - motion) % 12 == 0
    )


def _say_thread(claim: Claim) -> str:
    (one, two), (note, degree, other, goal, motion) = claim.subject, claim.args
    here = f"{note.pretty}, the {_named(degree)} of {name(one)},"
    there = f"the {_named(goal)} of {name(two)}"
    if motion == 0:
        spelled = "" if note == other else f" {other.pretty},"
        return f"{here} stays as{spelled} {there}"
    verb = "rises" if motion > 0 else "falls"
    return f"{here} {verb} {_size(abs(motion))} to {other.pretty}, {there}"


def _size(motion: int) -> str:
    """Return the size of a move in words, with its article."""
    if motion == 12:
        return "an octave"
    return f"a {STEP_NAMES[motion]}" if motion in STEP_NAMES else f"{motion} half steps"


def _named(degree: Degree) -> str:
    return "root" if degree.text == "1" else degree.pretty


KINDS = {"thread": Kind(_thread, _say_thread)}
