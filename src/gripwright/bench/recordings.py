"""Recordings on the bench: dropped in, drawn, looped slowly, listened to. Never sent anywhere."""

from __future__ import annotations

import os
import re
import tempfile
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import IO, Any

import numpy as np
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request as WebRequest
from starlette.responses import Response

from gripwright.bench import works
from gripwright.bench.calls import (
    Call,
    CallRoute,
    as_command,
    ask,
    by_hand,
    converted,
    look,
    reply,
)
from gripwright.bench.desk import TAKE_SUFFIXES, Desk
from gripwright.bench.folder import named
from gripwright.bench.jobs import Jobs
from gripwright.bench.laid import Sheet
from gripwright.bench.wire import answers as told
from gripwright.bench.wire import requests as asked
from gripwright.dsp.media import MAX_SECONDS, audio_facts, stream_audio
from gripwright.dsp.sound_file import write_flac
from gripwright.errors import InputError
from gripwright.hearing.follow import Followed
from gripwright.hearing.record import (
    band_of,
    practice_loop,
    read_span,
    sounds_here,
    with_grip,
)
from gripwright.hearing.report import here_answer, sync_answer
from gripwright.lesson.timing_file import (
    Timing,
    kept,
    read_timing,
    timing_bytes,
    with_correction,
)
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import STANDARD, Neck, make_neck, parse_tuning

PEAKS = 1600
PLAY_RATE = 44_100


def recording_routes(desk: Desk, jobs: Jobs) -> list[CallRoute]:
    """Return the routes that take recordings in and give them back to be seen and heard."""

    def about(of: asked.OfLesson) -> told.TakeTold:
        with desk.folder.held(of.path) as take:
            return _about(take)

    def audio(of: asked.AudioAsked) -> bytes:
        with desk.folder.held(of.path) as take:
            return _audio(take, of)

    def span(of: asked.SpanAsked) -> dict[str, Any]:
        with desk.folder.held(of.path) as take:
            x, rate = read_span(take, of.from_s, of.to_s)
        return here_answer(sounds_here(x, rate, _neck(of)))

    def hear_it(of: asked.HearAsked) -> dict[str, Any]:
        neck = _neck(of)
        desk.folder.check_file(of.path)
        with jobs.begin("hear", of.path, of.job) as doing:
            answer: dict[str, Any] = doing.work(works.hear_take, desk.folder, of.path, neck)
        return answer

    async def take_in(request: WebRequest) -> Response:
        given = converted(dict(request.query_params), asked.TakeIn)
        path = await _keep(desk, *_clean_name(given.name), request)
        return reply(told.Started(path=path), 201)

    into = Call("POST", "/api/take", asked.TakeIn, told.Started, file=True, status=201)
    return [
        ask("/api/take", asked.OfLesson, told.TakeTold, about, method="GET"),
        by_hand(into, take_in),
        look("/api/audio", asked.AudioAsked, "audio/flac", audio),
        as_command("span", asked.SpanAsked, told.NothingBeside, span, like="record"),
        as_command("hear", asked.HearAsked, told.NothingBeside, hear_it, left=jobs.left),
        as_command("sync", asked.SyncAsked, told.SyncBeside,
                   lambda of: sync_take(desk, jobs, of), left=jobs.left),
        ask("/api/correct", asked.Correct, told.Corrected, lambda of: correct_take(desk, of)),
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Recording:
    """A recording, the same as long as its stamp is; by which path it is reached matters not."""

    stamp: tuple[int, int, int, int]
    path: Path = field(compare=False)


def _about(take: Path) -> told.TakeTold:
    """Return length and the peaks to draw, 0 to 1; raises MediaError."""
    info = take.stat()
    stamp = (info.st_dev, info.st_ino, info.st_mtime_ns, info.st_size)
    seconds, peaks = _peaks(_Recording(stamp, take))
    return told.TakeTold(seconds=seconds, peaks=list(peaks), rate=audio_facts(take).rate)


@lru_cache(maxsize=8)
def _peaks(recording: _Recording) -> tuple[float, tuple[float, ...]]:
    fine: list[float] = []
    count = 0
    for block in stream_audio(recording.path, rate=PLAY_RATE, mono=True):
        mono = np.abs(block[:, 0])
        count += len(mono)
        fine += [float(part.max()) for part in np.array_split(mono, max(1, len(mono) // 441))]
    groups = np.array_split(np.array(fine), min(PEAKS, max(1, len(fine))))
    tallest = max(fine, default=0.0) or 1.0
    return count / PLAY_RATE, tuple(round(float(g.max()) / tallest, 3) for g in groups)


def _audio(take: Path, of: asked.AudioAsked) -> bytes:
    """Return a stretch of a recording as FLAC: slowed, retuned, a band of it, with a grip."""
    x, rate = read_span(take, of.from_s, MAX_SECONDS if of.to_s is None else of.to_s)
    x = practice_loop(band_of(x, rate, of.band), rate, speed=of.speed / 100, cents=of.cents)
    if of.grip:
        neck = _neck(of)
        x = with_grip(x, rate, parse_grip(of.grip, len(neck)), neck)
    with tempfile.TemporaryDirectory(prefix="gripwright-") as private:
        out = Path(private, "span.flac")
        write_flac(out, x, rate)
        return out.read_bytes()


def _neck(of: asked.AudioAsked | asked.SpanAsked | asked.HearAsked) -> Neck:
    return make_neck(parse_tuning(of.tuning or STANDARD.text), of.capo or 0)


def sync_take(desk: Desk, jobs: Jobs, of: asked.SyncAsked) -> dict[str, Any]:
    """Return what the sync command answers, and keep the timing beside the lesson.

    Corrections by hand stay, also those that were made while it was being followed.
    """
    text, parsed = desk.read(of.lesson)
    sheet = Sheet(desk.folder, of.lesson, text)
    desk.folder.check_file(of.path)
    with jobs.begin("sync", of.path, of.job) as doing:
        followed: Followed = doing.work(works.follow_take, sheet, of.path)
        with desk.lock:
            doing.check()
            old = _timing(desk, sheet.timing) if desk.folder.exists(sheet.timing) else None
            followed = replace(followed, timing=kept(old, followed.timing))
            desk.folder.write(sheet.timing, timing_bytes(followed.timing))
    answer = sync_answer(followed)
    for row, (_, _, grip) in zip(answer["events"], followed.cues, strict=True):
        row["grip"] = grip.text if grip else None
    return {**answer, "sha256": parsed.sha256}


def _timing(desk: Desk, beside: str) -> Timing:
    with desk.folder.held(beside) as path:
        return read_timing(path)


def correct_take(desk: Desk, of: asked.Correct) -> told.Corrected:
    """Move one event of a kept timing by hand and return all events.

    Raises InputError where there is no timing, or the order would break.
    """
    beside = desk.sheet(of.lesson).timing
    with desk.lock:
        timing = with_correction(_timing(desk, beside), of.number, of.start_s)
        desk.folder.write(beside, timing_bytes(timing))
    events = [told.TimedView(e.chord, e.start_s, e.end_s, e.by) for e in timing.events]
    return told.Corrected(events=events)


def _clean_name(name: str) -> tuple[str, str]:
    """Return a plain stem and ending for a recording that was dropped in; raises InputError."""
    stem, dot, suffix = os.path.basename(name.replace("\\", "/")).rpartition(".")
    suffix = f".{suffix.lower()}"
    if not dot or suffix not in TAKE_SUFFIXES:
        raise InputError(
            f"{name[:80]!r} is no recording that the bench reads", field="name",
            remedy=f"drop a file that ends in {' '.join(TAKE_SUFFIXES)}",
        )  # fmt: skip
    return re.sub(r"[^\w -]+", "-", stem).strip(" .-")[:60] or "take", suffix


async def _keep(desk: Desk, stem: str, suffix: str, request: WebRequest) -> str:
    """Stream the body into the folder under a free name; nothing is left of a broken one."""
    free = await run_in_threadpool(desk.free_name, stem, suffix)
    with desk.folder.writing(free, fresh=True) as file:
        async for chunk in request.stream():
            await run_in_threadpool(file.write, chunk)
        await run_in_threadpool(_check_audio, file, free)
    return free


def _check_audio(file: IO[bytes], name: str) -> None:
    file.flush()
    with named(file, name) as path:
        audio_facts(path)
