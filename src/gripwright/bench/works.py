"""The long works themselves, as a worker does them: the functions that the commands call.

Each has one signature: what it tells its steps to, then what it needs. Nothing is written to the
opened folder here but a pack, which takes its place whole.
"""

from __future__ import annotations

import os
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from gripwright.bench.arranging import Arranging, arrangement_of, fits_of
from gripwright.bench.desk import whole
from gripwright.bench.folder import Folder
from gripwright.bench.job_worker import Told
from gripwright.bench.laid import Sheet
from gripwright.bench.wire.answers import Pack, Product
from gripwright.bench.wire.requests import ArrangeAsked, BuildAsked, ProofAsked
from gripwright.errors import BuildError, GripwrightError
from gripwright.formats.captions import read_captions
from gripwright.hearing.follow import Followed, follow_heard
from gripwright.hearing.hear import hear
from gripwright.hearing.report import hear_answer
from gripwright.hearing.sound import file_sha256, read_take
from gripwright.lesson.model import Lesson
from gripwright.lesson.text import parse
from gripwright.neck.tuning import Neck
from gripwright.pack.build import build
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.chosen import Chosen, settled
from gripwright.pack.gate import findings_that_stop
from gripwright.proof.listen import listen
from gripwright.proof.registry import Evidence, check
from gripwright.screen.ground import colour_of
from gripwright.shelf.facts import LessonFacts, facts_of
from gripwright.voicing.tunings import Fit


def hear_take(told: Told, folder: Folder, take: str, neck: Neck) -> dict[str, Any]:
    """Return what the hear command answers."""
    told("reading", 0.0)
    with folder.held(take) as path:
        heard = read_take(path)
    return hear_answer(hear(heard, neck, told=lambda share: told("listening", share)))


def follow_take(told: Told, sheet: Sheet, take: str) -> Followed:
    """Return a lesson laid on a take, corrections by hand left aside."""
    told("reading", 0.0)
    lesson = whole(sheet.path, parse(sheet.text))
    with sheet.folder.held(take) as path:
        heard, sha256 = read_take(path), file_sha256(path)
    return follow_heard(
        lesson, heard, name=Path(take).name, sha256=sha256,
        told=lambda share: told("following", share),
    )  # fmt: skip


def arrange_chords(told: Told, lesson: Lesson, of: ArrangeAsked) -> Arranging:
    """Return the chords of a lesson and the best chain for them."""
    return arrangement_of(lesson, of, told=lambda share: told("searching", share))


def try_tunings(told: Told, lesson: Lesson) -> tuple[Fit, ...]:
    """Return how each tuning and capo suits a lesson, best first."""
    return fits_of(lesson, told=lambda share: told("trying", share))


def prove(told: Told, sheet: Sheet, of: ProofAsked) -> list[dict[str, Any]]:
    """Return what the proof finds in a lesson, a take of it, a cut of that, and captions."""
    with sheet.laid(of.take, of.cut, of.captions) as (source, (take, cut, captions)):
        cues = read_captions(captions) if captions else ()
        heard = listen(source, take, cut, lambda share: told("listening", share)) if take else None
    found = check(Evidence(parse(sheet.text), sheet.text, heard, cues))
    return [asdict(finding) for finding in found]


def build_pack(told: Told, sheet: Sheet, of: BuildAsked, out: Path) -> Pack:
    """Build the pack of a lesson; raises BuildError where the proof stops it."""
    parsed = parse(sheet.text)
    lesson = whole(sheet.name, parsed)
    stops = () if of.anyway else findings_that_stop(parsed, sheet.text)
    if stops:
        raise BuildError(f"line {stops[0].line}: {stops[0].message}", field="path")
    cache = Cache(default_folder(os.environ))
    colour = colour_of(of.background) if of.background else None
    shown = None if colour else of.background
    with sheet.laid(of.take, of.cut, shown) as (source, (take, cut, picture)):
        if take:
            told("listening to the take", 0.0)
        chosen = Chosen(
            take=take, cut=cut, film=of.film, corner=of.corner, plate_size=of.plate,
            background=colour or (str(picture) if picture else None),
        )  # fmt: skip
        wanted = settled(chosen, lesson, source, cache)
        pack = build(
            lesson, out, cache, settings=wanted.settings, take=wanted.recording,
            background=wanted.picture, processes=_stages_at_once(),
            told=lambda step: told(step.stage, step.done),
        )  # fmt: skip
    products = [Product(row.path, row.kind, row.bytes) for row in pack.manifest.files]
    return Pack(out.name, products)


def _stages_at_once() -> int | None:
    """Return how many stages run at once: one in this process where others are not forked from it.

    What was opened is reached by its descriptor, which only a fork hands on.
    """
    return None if sys.platform == "linux" else 1


def read_for_shelf(
    told: Told, folder: Folder, lessons: list[str]
) -> tuple[list[LessonFacts], list[str]]:
    """Return what the shelf keeps of lessons of the folder, and which are no whole lessons."""
    facts, refused = [], []
    for number, path in enumerate(lessons):
        told("reading", number / len(lessons))
        try:
            text = folder.read(path).decode("utf-8", "replace")
            parsed = parse(text)
            whole(path, parsed)
        except GripwrightError:
            refused.append(path)
            continue
        facts.append(facts_of(folder.root / path, text, parsed))
    return facts, refused
