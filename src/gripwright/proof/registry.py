"""The proof: every rule over one lesson.

A rule is a module with ``RULE``, its name, and ``check(evidence)``, which yields findings. To
add one, write the module and list it in `RULES`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Protocol

from gripwright.proof import (
    rule_cut,
    rule_doubts,
    rule_fingers,
    rule_front_twice,
    rule_grip_missing,
    rule_label,
    rule_never_played,
    rule_reach,
    rule_said,
    rule_take,
    rule_unplucked,
)
from gripwright.proof.evidence import Evidence, Finding, Severity

RULES = (
    rule_label, rule_fingers, rule_reach, rule_never_played, rule_doubts, rule_grip_missing,
    rule_front_twice, rule_unplucked, rule_said, rule_take, rule_cut,
)  # fmt: skip
STOPPING = (rule_label, rule_fingers, rule_reach, rule_never_played)
"""The rules that may find something *wrong*; what only they find is all that stops a build."""
_ORDER: dict[Severity, int] = {"wrong": 0, "doubtful": 1, "note": 2}
__all__ = ["RULES", "STOPPING", "Evidence", "Finding", "check"]


class Rule(Protocol):
    """A module of this folder."""

    @property
    def RULE(self) -> str:
        """Return its name."""

    def check(self, evidence: Evidence) -> Iterator[Finding]:
        """Yield what it finds."""


def check(evidence: Evidence, rules: Iterable[Rule] = RULES) -> tuple[Finding, ...]:
    """Return all findings in the order of the file, the worst first where places are equal.

    Problems of the file itself come as findings of severity ``wrong``. ``rules`` are all of
    them; `STOPPING` is quicker where only what is wrong matters.
    """
    found = [
        Finding("wrong", p.code, p.line, p.column, p.message, p.suggestion)
        for p in evidence.parsed.problems
    ]
    for rule in rules:
        found.extend(rule.check(evidence))
    return tuple(sorted(found, key=lambda f: (f.line, f.column, _ORDER[f.severity], f.rule)))
