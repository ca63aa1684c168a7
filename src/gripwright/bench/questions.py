"""The questions that the bench passes on: the same functions that the commands call.

Each takes the request's JSON object and returns the answer of the command contract; what the
page draws beside it (typeset runs, diagrams, sentences) is added here and changes no answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
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
from gripwright.lesson.model import Lesson
from gripwright.lesson.text import Parsed, lesson_error
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import make_neck, parse_tuning
from gripwright.proof.registry import Evidence, check

SHOWN = 24
Question = Callable[[dict[str, Any]], dict[str, Any]]
About = Callable[["Asked", dict[str, Any]], dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Asked:
    """The lesson that a question is about, read from disk once."""

    path: str
    text: str
    parsed: Parsed

    @property
    def lesson(self) -> Lesson:
        """Return the lesson; raises LessonError with its problems when there is none."""
        if self.parsed.lesson is None:
            raise lesson_error(self.parsed.problems, self.path)
        return self.parsed.lesson


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


def _about(work: About) -> Callable[[Desk], Question]:
    """Return a question about a lesson whose answer names the text that it is about."""

    def of(desk: Desk) -> Question:
        def answer(request: dict[str, Any]) -> dict[str, Any]:
            path = text_field(request, "path")
            text, parsed = desk.read(path)
            return {**work(Asked(path, text, parsed), request), "sha256": parsed.sha256}

        return answer

    return of


def _proof(asked: Asked, request: dict[str, Any]) -> dict[str, Any]:
    return {"findings": [asdict(finding) for finding in check(Evidence(asked.parsed, asked.text))]}


QUESTIONS: dict[str, Callable[[Desk], Question]] = {
    "name": _name,
    "grips": _grips,
    "explain": _about(lambda asked, request: harmony_of(asked.parsed.draft)),
    "arrange": _about(lambda asked, request: arrange_answer(asked.lesson, request)),
    "tunings": _about(lambda asked, request: tunings_answer(asked.lesson)),
    "play": _about(lambda asked, request: play_answer(asked.lesson)),
    "proof": _about(_proof),
    "span": lambda desk: partial(span_answer, desk),
    "hear": lambda desk: partial(hear_take, desk),
    "sync": lambda desk: partial(sync_take, desk),
    "correct": lambda desk: partial(correct_take, desk),
}
QUICK = frozenset({"name"})
