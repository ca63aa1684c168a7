"""Recordings on the bench: dropped in, drawn, looped slowly, listened to. Never sent anywhere."""

from __future__ import annotations

import os
import re
import secrets
import tempfile
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from gripwright.bench.desk import TAKE_SUFFIXES, Desk
from gripwright.bench.replies import guarded, reply, text_field, whole_field
from gripwright.dsp.media import MAX_SECONDS, audio_facts, stream_audio
from gripwright.dsp.sound_file import write_flac
from gripwright.errors import InputError
from gripwright.hearing.follow import follow
from gripwright.hearing.hear import hear
from gripwright.hearing.record import (
    Band,
    band_of,
    practice_loop,
    read_span,
    sounds_here,
    with_grip,
)
from gripwright.hearing.report import hear_answer, here_answer, sync_answer
from gripwright.hearing.sound import read_take
from gripwright.lesson.timing_file import (
    read_timing,
    timing_path,
    with_correction,
    write_timing,
)
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import STANDARD, Neck, make_neck, parse_tuning

PEAKS = 1600
BANDS: tuple[Band, ...] = ("whole", "bass", "centre", "sides")
PLAY_RATE = 44_100


def recording_routes(desk: Desk) -> list[Route]:
    """Return the routes that take recordings in and give them back to be seen and heard."""

    @guarded
    async def about(request: Request) -> Response:
        place = desk.folder.path(request.query_params.get("path", ""))
        return reply(await run_in_threadpool(_about, place))

    @guarded
    async def take_in(request: Request) -> Response:
        name = _clean_name(request.query_params.get("name", ""))
        path = await _keep(desk, name, request)
        return reply({"path": path}, 201)

    @guarded
    async def audio(request: Request) -> Response:
        query = request.query_params
        place = desk.folder.path(query.get("path", ""))
        data = await run_in_threadpool(_audio, place, dict(query))
        return Response(data, media_type="audio/flac")

    return [
        Route("/api/take", about, methods=["GET"]),
        Route("/api/take", take_in, methods=["POST"]),
        Route("/api/audio", audio),
    ]


def _about(place: Path) -> dict[str, Any]:
    """Return length and the peaks to draw, 0 to 1; raises MediaError."""
    stamp = place.stat()
    seconds, peaks = _peaks(str(place), stamp.st_mtime_ns, stamp.st_size)
    return {"seconds": seconds, "peaks": list(peaks), "rate": audio_facts(place).rate}


@lru_cache(maxsize=8)
def _peaks(place: str, modified_ns: int, size: int) -> tuple[float, tuple[float, ...]]:
    fine: list[float] = []
    count = 0
    for block in stream_audio(place, rate=PLAY_RATE, mono=True):
        mono = np.abs(block[:, 0])
        count += len(mono)
        fine += [float(part.max()) for part in np.array_split(mono, max(1, len(mono) // 441))]
    groups = np.array_split(np.array(fine), min(PEAKS, max(1, len(fine))))
    tallest = max(fine, default=0.0) or 1.0
    return count / PLAY_RATE, tuple(round(float(g.max()) / tallest, 3) for g in groups)


def _audio(place: Path, query: dict[str, str]) -> bytes:
    """Return a stretch of a recording as FLAC: slowed, retuned, a band of it, with a grip."""
    band = query.get("band", "whole")
    if band not in BANDS:
        raise InputError(f"{band!r} is no band", field="band", remedy=f"use {', '.join(BANDS)}")
    start_s, end_s = _number(query, "from", 0.0), _number(query, "to", float(MAX_SECONDS))
    x, rate = read_span(place, start_s, end_s)
    cents = _number(query, "cents", 0.0)
    x = practice_loop(
        band_of(x, rate, band), rate, speed=_number(query, "speed", 100.0) / 100, cents=cents
    )
    if query.get("grip"):
        neck = _neck(query)
        x = with_grip(x, rate, parse_grip(query["grip"], len(neck)), neck)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, "span.flac")
        write_flac(out, x, rate)
        return out.read_bytes()


def _neck(given: Mapping[str, Any]) -> Neck:
    """Return the neck of ``tuning`` and ``capo`` of a request."""
    capo = given.get("capo") or 0
    if not str(capo).isdigit():
        raise InputError(f"{capo!r} is not a capo", field="capo", remedy="give a fret, 0 for none")
    return make_neck(parse_tuning(given.get("tuning") or STANDARD.text), int(capo))


def span_answer(desk: Desk, given: dict[str, Any]) -> dict[str, Any]:
    """Return what sounds in a span of a recording: pitches, likely grips, readings."""
    place = desk.folder.path(text_field(given, "path"))
    start_s, end_s = _number(given, "from_s", 0.0), _number(given, "to_s", 0.0)
    x, rate = read_span(place, start_s, end_s)
    return here_answer(sounds_here(x, rate, _neck(given)))


def hear_take(desk: Desk, given: dict[str, Any]) -> dict[str, Any]:
    """Return what the hear command answers about a recording in the folder."""
    place = desk.folder.path(text_field(given, "path"))
    return hear_answer(hear(read_take(place), _neck(given)))


def sync_take(desk: Desk, given: dict[str, Any]) -> dict[str, Any]:
    """Return what the sync command answers, and keep the timing beside the lesson."""
    lesson = desk.folder.path(text_field(given, "lesson"))
    followed = follow(lesson, desk.folder.path(text_field(given, "path")), keep=True)
    answer = sync_answer(followed)
    for row, (_, _, grip) in zip(answer["events"], followed.cues, strict=True):
        row["grip"] = grip.text if grip else None
    return answer


def correct_take(desk: Desk, given: dict[str, Any]) -> dict[str, Any]:
    """Move one event of a kept timing by hand and return all events.

    Raises InputError where there is no timing, or the order would break.
    """
    beside = timing_path(desk.folder.path(text_field(given, "lesson")))
    with desk.lock:
        timing = with_correction(
            read_timing(beside), whole_field(given, "number"), _number(given, "start_s", -1.0)
        )
        write_timing(beside, timing)
    fields = ("chord", "start_s", "end_s", "by")
    return {"events": [{name: getattr(e, name) for name in fields} for e in timing.events]}


def _number(query: Mapping[str, Any], name: str, default: float) -> float:
    try:
        value = float(query.get(name, default))
    except (TypeError, ValueError) as error:
        raise InputError(f"{name!r} must be a number", field=name) from error
    if not np.isfinite(value):
        raise InputError(f"{name!r} must be a finite number", field=name)
    return value


def _clean_name(name: str) -> str:
    """Return a plain file name for a recording that was dropped in; raises InputError."""
    stem, dot, suffix = os.path.basename(name.replace("\\", "/")).rpartition(".")
    suffix = f".{suffix.lower()}"
    if not dot or suffix not in TAKE_SUFFIXES:
        raise InputError(
            f"{name[:80]!r} is no recording that the bench reads", field="name",
            remedy=f"drop a file that ends in {' '.join(TAKE_SUFFIXES)}",
        )  # fmt: skip
    return (re.sub(r"[^\w -]+", "-", stem).strip(" .-")[:80] or "take") + suffix


async def _keep(desk: Desk, name: str, request: Request) -> str:
    """Stream the body into the folder under a free name; nothing is left of a broken one."""
    taken = set(desk.takes())
    stem, suffix = os.path.splitext(name)
    free = next(
        n
        for i in range(1, 1000)
        if (n := f"{stem}{'' if i == 1 else f'-{i}'}{suffix}") not in taken
    )
    beside = desk.folder.root / f".{secrets.token_hex(8)}.part"
    try:
        with beside.open("xb") as file:
            async for chunk in request.stream():
                await run_in_threadpool(file.write, chunk)
        await run_in_threadpool(audio_facts, beside)
        os.rename(beside, desk.folder.root / free)
    finally:
        beside.unlink(missing_ok=True)
    return free
