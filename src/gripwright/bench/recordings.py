"""Recordings on the bench: dropped in, drawn, looped slowly, listened to. Never sent anywhere."""

from __future__ import annotations

import io
import os
import re
import secrets
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from gripwright.bench.desk import TAKE_SUFFIXES, Desk
from gripwright.bench.replies import guarded, reply
from gripwright.dsp.media import audio_facts, read_audio, stream_audio
from gripwright.errors import InputError
from gripwright.hearing.record import BANDS, excerpt

PEAKS = 1600
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
    """Return a stretch of a recording as FLAC: slowed, retuned, a band of it."""
    band = query.get("band", "all")
    if band not in BANDS:
        raise InputError(f"{band!r} is no band", field="band", remedy=f"use {', '.join(BANDS)}")
    x, rate = read_audio(place, rate=PLAY_RATE)
    start_s, end_s = _number(query, "from", 0.0), _number(query, "to", len(x) / rate)
    made = excerpt(
        x, rate, start_s=start_s, end_s=end_s, speed=_number(query, "speed", 100.0) / 100,
        cents=_number(query, "cents", 0.0), band=band,
    )  # fmt: skip
    out = io.BytesIO()
    soundfile.write(out, made, rate, format="FLAC")
    return out.getvalue()


def _number(query: dict[str, str], name: str, default: float) -> float:
    try:
        value = float(query.get(name, default))
    except ValueError as error:
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
