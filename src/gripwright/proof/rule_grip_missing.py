"""Chords that the chart names and no grip says."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.proof.evidence import Evidence, Finding

RULE = "grip-missing"


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a note for each chord without a grip: the pack will pick one."""
    seen: set[str] = set()
    for node, chord in evidence.written_chords():
        if chord.grip is None and chord.name not in seen:
            seen.add(chord.name)
            yield evidence.find(
                "note", RULE, node, f"{chord.name} has no grip, the pack will pick one",
                "set its grip out in a grips block",
            )  # fmt: skip
