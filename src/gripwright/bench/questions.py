"""The questions that the bench passes on: the same functions that the commands call.

Each takes the request's JSON object and returns the answer of the command contract; what the
page draws beside it (typeset runs, diagrams, sentences) is added here and changes no answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from functools import partial
from typing import Any

from gripwright.bench.arranging import arrange_answer, tunings_answer
from gripwright.bench.desk import Desk
from gripwright.bench.harmony import harmony_of
from gripwright.bench.naming import name_answer
from gripwright.bench.playing import play_answer
from gripwright.bench.recordings import correct_take, hear_take, span_answer, sync_take
from gripwright.bench.replies import text_field
from gripwright.cli import grips as grips_command
from gripwright.draw.diagram import diagram
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import make_neck, parse_tuning
from gripwright.proof.registry import Evidence, check

SHOWN = 24
Question = Callable[[dict[str, Any]], dict[str, Any]]


def _name(desk: Desk) -> Question:
    return name_answer


def _grips(desk: Desk) -> Question:
    def answer(request: dict[str, Any]) -> dict[str, Any]:
        told = grips_command.answer({"first": SHOWN, "differ": True, **request})
        neck = make_neck(parse_tuning(told["tuning"]), told["capo"] or 0)
        for found in told["grips"]:
            grip = parse_grip(found["grip"], len(neck))
            found["svg"] = diagram(grip, neck, fingers=found["fingers"], weight="small")
        return told

    return answer


def _explain(desk: Desk) -> Question:
    return lambda request: harmony_of(desk.parsed(text_field(request, "path")).draft)


def _arrange(desk: Desk) -> Question:
    return lambda request: arrange_answer(desk.lesson(text_field(request, "path")), request)


def _tunings(desk: Desk) -> Question:
    return lambda request: tunings_answer(desk.lesson(text_field(request, "path")))


def _play(desk: Desk) -> Question:
    return lambda request: play_answer(desk.lesson(text_field(request, "path")))


def _proof(desk: Desk) -> Question:
    def answer(request: dict[str, Any]) -> dict[str, Any]:
        path = text_field(request, "path")
        evidence = Evidence(desk.parsed(path), desk.text(path))
        return {"findings": [asdict(finding) for finding in check(evidence)]}

    return answer


QUESTIONS: dict[str, Callable[[Desk], Question]] = {
    "name": _name,
    "grips": _grips,
    "explain": _explain,
    "arrange": _arrange,
    "tunings": _tunings,
    "play": _play,
    "proof": _proof,
    "span": lambda desk: partial(span_answer, desk),
    "hear": lambda desk: partial(hear_take, desk),
    "sync": lambda desk: partial(sync_take, desk),
    "correct": lambda desk: partial(correct_take, desk),
}
QUICK = frozenset({"name"})
