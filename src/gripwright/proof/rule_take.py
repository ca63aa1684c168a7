"""A take that departs from the chart: parts left out or played again, notes, another tempo."""

from __future__ import annotations

from collections.abc import Iterator

from gripwright.lesson.source import Node
from gripwright.proof.evidence import Evidence, Finding
from gripwright.proof.take import HeardNote, TakeEvidence, clock

RULE = "take-departs"
_TEMPO = 0.06  # a tempo this share away is another one: our choice, no source
_TOLD = 3  # times that are listed of one that comes by often


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield what a take leaves out, plays again, sounds otherwise, or plays at another tempo."""
    take = evidence.take
    if take is None:
        return
    for part in dict.fromkeys(take.skipped):
        yield evidence.find(
            "doubtful", RULE, ("part", part), f"{take.name} leaves out {part}{_times(take, part)}",
            "play it again, or change order: in the front matter",
        )  # fmt: skip
    for part in dict.fromkeys(take.repeated):
        yield evidence.find(
            "doubtful", RULE, ("part", part), f"{take.name} plays {part} more often than the chart",
            "change order: in the front matter, or cut it",
        )  # fmt: skip
    yield from _notes(evidence, take)
    written = float(evidence.lesson.tempo_bpm)
    if abs(take.tempo_bpm / written - 1) > _TEMPO:
        yield evidence.find(
            "note", RULE, ("front", "tempo"),
            f"{take.name} runs at {take.tempo_bpm:.0f} beats a minute, the lesson says "
            f"{written:g}", f"tempo: {take.tempo_bpm:.0f}, if the take is right",
        )  # fmt: skip


def _times(take: TakeEvidence, part: str) -> str:
    count = take.skipped.count(part)
    return f" ({count} times)" if count > 1 else ""


def _notes(evidence: Evidence, take: TakeEvidence) -> Iterator[Finding]:
    """Yield one finding for a written chord and note, with the times at which it is so."""
    found: dict[tuple[Node, str], list[HeardNote]] = {}
    for note in take.notes:
        found.setdefault((note.node, note.text), []).append(note)
    for (node, text), notes in found.items():
        times = ", ".join(clock(note.at_s) for note in notes[:_TOLD])
        more = f" and {len(notes) - _TOLD} times more" if len(notes) > _TOLD else ""
        yield evidence.find(
            "doubtful", RULE, node, f"in {take.name} at {times}{more}, {text}",
            "listen there: mend the chart or the take",
            times_s=tuple(round(note.at_s, 3) for note in notes),
        )  # fmt: skip
