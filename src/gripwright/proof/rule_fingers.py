"""Fingers set out under a grip that one hand cannot put there."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from gripwright.lesson.model import Chord
from gripwright.proof.evidence import Evidence, Finding

RULE = "fingers-crossed"


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding where a finger is on two frets, or a pressed string has none.

    A higher finger on a lower fret is possible, seldom meant, and only doubtful.
    """
    for chord in evidence.lesson.grips:
        for severity, message in _faults(chord):
            yield evidence.find(
                "wrong" if severity else "doubtful", RULE, ("fingers", chord.name), message,
                "write the finger beneath its fret, a dot where none is",
            )  # fmt: skip


def _faults(chord: Chord) -> Iterator[tuple[bool, str]]:
    if chord.grip is None or chord.fingers is None:
        return
    pairs = list(zip(chord.grip.frets, chord.fingers, strict=True))
    if any(fret and finger is None for fret, finger in pairs):
        yield True, f"a pressed string of {chord.name} has no finger"
    placed = [(fret, finger) for fret, finger in pairs if fret and finger]
    for (fret, finger), (other_fret, other) in combinations(placed, 2):
        if finger == other and fret != other_fret:
            yield True, f"finger {finger} of {chord.name} is on frets {fret} and {other_fret}"
            return
    hand = [(fret, finger) for fret, finger in placed if finger != "T"]
    for (fret, finger), (other_fret, other) in combinations(hand, 2):
        if (finger < other and fret > other_fret) or (finger > other and fret < other_fret):
            yield False, f"fingers {finger} and {other} of {chord.name} cross"
            return
