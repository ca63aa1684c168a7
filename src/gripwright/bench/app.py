"""The bench's server: one typed JSON API, one event stream, the page, and nothing else.

Handlers parse, call one library function and present; no rule of music lives here.
"""

from __future__ import annotations

import asyncio
import contextlib
import pkgutil
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from gripwright.bench.builds import Builds
from gripwright.bench.desk import Desk
from gripwright.bench.folder import Folder
from gripwright.bench.guard import Guard
from gripwright.bench.intents import make_edit
from gripwright.bench.preview import handout_preview
from gripwright.bench.questions import QUESTIONS, QUICK
from gripwright.bench.recordings import recording_routes
from gripwright.bench.replies import asks, guarded, reply, request_object, text_field, whole_field
from gripwright.bench.stream import Stream
from gripwright.bench.watch import watch
from gripwright.draw.type import FONT_FOLDER
from gripwright.lesson.edit import Edit

WEB = Path(__file__).parent / "web"


def make_app(folder: Path, token: str, hosts: tuple[str, ...]) -> Starlette:
    """Return the bench's application for an opened folder.

    ``hosts`` are the values of ``Host`` that are served, such as ``127.0.0.1:8123``.
    """
    desk = Desk(Folder(folder))
    stream = Stream()
    builds = Builds(desk, stream)

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        watching = asyncio.create_task(watch(desk, stream))
        yield
        watching.cancel()
        builds.close()

    return Starlette(
        routes=[
            Route("/", _page),
            Route("/tables/naming.json", _naming_table),
            Mount("/web", StaticFiles(directory=WEB)),
            Mount("/fonts", StaticFiles(directory=FONT_FOLDER)),
            *_lesson_routes(desk, stream),
            *(
                Route(f"/api/{name}", asks(work(desk), quick=name in QUICK), methods=["POST"])
                for name, work in QUESTIONS.items()
            ),
            *recording_routes(desk),
            *builds.routes(),
        ],
        middleware=[Middleware(Guard, hosts=hosts, token=token)],
        lifespan=lifespan,
    )  # fmt: skip


async def _page(request: Request) -> Response:
    page = await run_in_threadpool((WEB / "index.html").read_bytes)
    return Response(page, media_type="text/html; charset=utf-8")


async def _naming_table(request: Request) -> Response:
    table = pkgutil.get_data("gripwright.harmony", "naming.json")
    return Response(table, media_type="application/json")


def _lesson_routes(desk: Desk, stream: Stream) -> list[Route]:
    @guarded
    async def folder(request: Request) -> Response:
        found = await run_in_threadpool(lambda: {"lessons": desk.lessons(), "takes": desk.takes()})
        return reply(found)

    @guarded
    async def lesson(request: Request) -> Response:
        return reply(await run_in_threadpool(desk.view, request.query_params.get("path", "")))

    @guarded
    async def new(request: Request) -> Response:
        given = await request_object(request)
        title, tuning = text_field(given, "title"), text_field(given, "tuning")
        path = await run_in_threadpool(desk.create, title, tuning)
        stream.publish({"kind": "folder"})
        return reply({"path": path}, 201)

    @guarded
    async def edit(request: Request) -> Response:
        given = await request_object(request)
        base = text_field(given, "base_sha256")
        wanted = Edit(
            base, whole_field(given, "start"), whole_field(given, "end"), text_field(given, "text")
        )
        return await changed(given, base, lambda text, parsed: wanted)

    @guarded
    async def intent(request: Request) -> Response:
        given = await request_object(request)
        name, args = text_field(given, "intent"), given.get("args") or {}
        return await changed(
            given, text_field(given, "base_sha256"),
            lambda text, parsed: make_edit(name, args, text, parsed),
        )  # fmt: skip

    async def changed(given: dict[str, Any], base: str, make: Any) -> Response:
        path = text_field(given, "path")
        answer = await run_in_threadpool(desk.change, path, make, base)
        sha256 = answer["lesson"]["sha256"]
        stream.publish({"kind": "changed", "path": path, "sha256": sha256})
        return reply(answer)

    @guarded
    async def preview(request: Request) -> Response:
        path = request.query_params.get("path", "")
        page = await run_in_threadpool(handout_preview, desk, path)
        return Response(page, media_type="application/pdf")

    async def events(request: Request) -> Response:
        return StreamingResponse(stream.listen(), media_type="application/x-ndjson")

    return [
        Route("/api/folder", folder),
        Route("/api/lesson", lesson),
        Route("/api/new", new, methods=["POST"]),
        Route("/api/edit", edit, methods=["POST"]),
        Route("/api/intent", intent, methods=["POST"]),
        Route("/api/preview", preview),
        Route("/api/events", events),
    ]
