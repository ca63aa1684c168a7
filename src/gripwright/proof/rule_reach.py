"""Grips that a hand cannot make."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.errors import GripError
from gripwright.neck.hand import finger
from gripwright.proof.evidence import Evidence, Finding, Severity

RULE = "out-of-reach"


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for each grip that no fingering of a medium hand makes.

    Where one does but not with the fingers set out, the finding is doubtful.
    """
    neck = evidence.lesson.neck
    for node, chord in evidence.written_chords():
        if chord.grip is None:
            continue
        severity: Severity = "wrong"
        try:
            finger(chord.grip, neck, thumb=True)
            severity = "doubtful"
            if chord.fingers is not None and node[0] == "grip":
                finger(chord.grip, neck, thumb=True, fingers=chord.fingers)
        except GripError as error:
            yield evidence.find(severity, RULE, node, error.message, error.remedy)
