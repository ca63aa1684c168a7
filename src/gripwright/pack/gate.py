"""The gate: what the proof finds before a pack may be built."""

from __future__ import annotations

from gripwright.lesson.text import Parsed
from gripwright.proof.registry import STOPPING, Evidence, Finding, check


def findings_of(parsed: Parsed, text: str) -> tuple[Finding, ...]:
    """Return all that the proof finds in a lesson."""
    return check(Evidence(parsed, text))


def findings_that_stop(parsed: Parsed, text: str) -> tuple[Finding, ...]:
    """Return the findings of severity ``wrong``: they stop a build unless it is wanted anyway."""
    found = check(Evidence(parsed, text), STOPPING)
    return tuple(finding for finding in found if finding.severity == "wrong")
