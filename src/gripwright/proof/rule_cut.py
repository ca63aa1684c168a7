"""What of the song as played a published cut does not show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from gripwright.proof.evidence import Evidence, Finding
from gripwright.proof.take import CutPiece, HeardEvent, clock

RULE = "cut-misses"
_SHOWN = 0.5  # the share of an event that a piece must hold for the event to be shown


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield the stretches of bars that no piece of the cut holds; one finding where none is."""
    take = evidence.take
    if take is None or take.pieces is None:
        return
    if not take.pieces:
        yield evidence.find_at(
            "doubtful", RULE, 0, f"the cut holds no piece of {take.name}",
            "check that this cut was made from this take",
        )  # fmt: skip
        return
    pieces = take.pieces
    for shown, run in groupby(take.events, key=lambda event: _is_shown(event, pieces)):
        events = list(run)
        if not shown:
            yield from _missed(evidence, events)


def _is_shown(event: HeardEvent, pieces: Sequence[CutPiece]) -> bool:
    held = sum(
        max(0.0, min(event.end_s, piece.take_end_s) - max(event.start_s, piece.take_start_s))
        for piece in pieces
    )
    return held >= _SHOWN * (event.end_s - event.start_s)


def _missed(evidence: Evidence, events: Sequence[HeardEvent]) -> Iterator[Finding]:
    for own in _forward(events):
        first, last = own[0], own[-1]
        bars = f"bar {first.bar}" if first.bar == last.bar else f"bars {first.bar} to {last.bar}"
        yield evidence.find(
            "note", RULE, first.node,
            f"the cut does not show {bars} of {first.part}, in the take from "
            f"{clock(first.start_s)} to {clock(last.end_s)}", times_s=(round(first.start_s, 3),),
        )  # fmt: skip


def _forward(events: Sequence[HeardEvent]) -> Iterator[list[HeardEvent]]:
    """Yield runs of events in one part that do not go back to an earlier bar."""
    run: list[HeardEvent] = []
    for event in events:
        if run and (event.part != run[-1].part or event.bar < run[-1].bar):
            yield run
            run = []
        run.append(event)
    if run:
        yield run
