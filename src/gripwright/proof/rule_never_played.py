"""What is written and never comes by: bars, parts, grips set out."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.lesson.unroll import pass_order
from gripwright.proof.evidence import Evidence, Finding

RULE = "never-played"


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for bars that no pass reaches, and for parts and grips that go unused."""
    lesson = evidence.lesson
    for part in lesson.parts:
        if part.name not in lesson.order:
            yield evidence.find(
                "note", RULE, ("part", part.name), f"{part.name} is not in the order of playing",
                "add it to order: in the front matter",
            )  # fmt: skip
        reached = {bar for bar, _ in pass_order(part)}
        for index, bar in enumerate(part.bars):
            if index not in reached:
                passes = ", ".join(map(str, bar.endings))
                yield evidence.find(
                    "wrong", RULE, ("bar", part.name, index),
                    f"bar {index + 1} of {part.name} is never played: it is for pass {passes}",
                    "close the repeat with (x2), or mend the ending",
                )  # fmt: skip
    played = {
        event.chord.name for part in lesson.parts for bar in part.bars
        for event in bar.chords if event.chord
    }  # fmt: skip
    for chord in lesson.grips:
        if chord.name not in played:
            yield evidence.find(
                "note", RULE, ("grip", chord.name), f"no bar plays the grip {chord.name}",
                "use it, or take it out",
            )  # fmt: skip
