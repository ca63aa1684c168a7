"""The questions that the bench passes on: the same functions that the commands call.

Each row is a call with what it asks, what it answers and the function that does; what the page
draws beside a command's answer (typeset runs, diagrams, places) is added here and changes
nothing in it.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from gripwright.bench import works
from gripwright.bench.arranging import CHAINS, arrange_answer, tunings_answer
from gripwright.bench.calls import CallRoute, as_command, ask, given_fields
from gripwright.bench.desk import Desk, whole
from gripwright.bench.harmony import harmony_of
from gripwright.bench.jobs import Jobs
from gripwright.bench.laid import Sheet
from gripwright.bench.naming import name_answer
from gripwright.bench.playing import play_answer
from gripwright.bench.wire import answers as told
from gripwright.bench.wire import requests as asked
from gripwright.cli import grips as grips_command
from gripwright.draw.diagram import diagram
from gripwright.errors import InputError
from gripwright.lesson.model import Lesson
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import make_neck, parse_tuning
from gripwright.proof.registry import Evidence, check

SHOWN = 24


def question_routes(desk: Desk, jobs: Jobs) -> list[CallRoute]:
    """Return the routes of what can be asked about grips and lessons."""

    def lesson_and_hash(path: str) -> tuple[Lesson, str]:
        _, parsed = desk.read(path)
        return whole(path, parsed), parsed.sha256

    def explain(of: asked.OfLesson) -> dict[str, Any]:
        _, parsed = desk.read(of.path)
        return {**harmony_of(parsed.draft), "sha256": parsed.sha256}

    def proof(of: asked.ProofAsked) -> dict[str, Any]:
        text, parsed = desk.read(of.path)
        if not (of.take or of.cut or of.captions):
            findings = [asdict(finding) for finding in check(Evidence(parsed, text))]
            return {"findings": findings, "sha256": parsed.sha256}
        _check_beside(desk, of)
        with jobs.begin("proof", of.path, of.job) as doing:
            findings = doing.work(works.prove, Sheet(desk.folder, of.path, text), of)
        return {"findings": findings, "sha256": parsed.sha256}

    def arrange(of: asked.ArrangeAsked) -> told.Arranged:
        lesson, sha256 = lesson_and_hash(of.path)
        with jobs.begin("arrange", of.path, of.job) as doing:
            found = doing.work(works.arrange_chords, lesson, of)
        CHAINS.keep(sha256, of, found)
        return arrange_answer(found, sha256)

    def tunings(of: asked.LongAsked) -> told.TuningsTold:
        lesson, sha256 = lesson_and_hash(of.path)
        with jobs.begin("tunings", of.path, of.job) as doing:
            fits = doing.work(works.try_tunings, lesson)
        return tunings_answer(fits, sha256)

    def play(of: asked.OfLesson) -> told.Played:
        return play_answer(*lesson_and_hash(of.path))

    return [
        as_command("name", asked.NameAsked, told.NameBeside, name_answer, quick=True),
        as_command("grips", asked.GripsAsked, told.GripsBeside, _grips),
        as_command("explain", asked.OfLesson, told.ExplainBeside, explain),
        as_command("proof", asked.ProofAsked, told.ProofBeside, proof, left=jobs.left),
        ask("/api/arrange", asked.ArrangeAsked, told.Arranged, arrange, left=jobs.left),
        ask("/api/tunings", asked.LongAsked, told.TuningsTold, tunings, left=jobs.left),
        ask("/api/play", asked.OfLesson, told.Played, play),
    ]


def _check_beside(desk: Desk, of: asked.ProofAsked) -> None:
    """Raise InputError for a cut without its take, and for files that are not in the folder."""
    if of.cut and not of.take:
        raise InputError(
            "a cut is compared with the take that it is made of, and none is given", field="cut",
            remedy="choose the take too",
        )  # fmt: skip
    for path in filter(None, (of.take, of.cut, of.captions)):
        desk.folder.check_file(path)


def _grips(of: asked.GripsAsked) -> dict[str, Any]:
    found = grips_command.answer({"first": SHOWN, "differ": True, **given_fields(of)})
    neck = make_neck(parse_tuning(found["tuning"]), found["capo"] or 0)
    for one in found["grips"]:
        grip = parse_grip(one["grip"], len(neck))
        one["svg"] = diagram(grip, neck, fingers=one["fingers"], weight="small")
    return found
