"""The bench's server: one typed JSON API, one event stream, the page, and nothing else.

Handlers parse, call one library function and present; no rule of music lives here.
"""

from __future__ import annotations

import asyncio
import contextlib
import pkgutil
from collections.abc import AsyncIterator
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request as WebRequest
from starlette.responses import Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from gripwright.bench.calls import Call, CallRoute, ask, by_hand, look
from gripwright.bench.desk import Desk
from gripwright.bench.folder import Folder
from gripwright.bench.guard import Guard
from gripwright.bench.intents import Make, edit_maker
from gripwright.bench.job_worker import begin_ahead
from gripwright.bench.jobs import Jobs
from gripwright.bench.naming import warm
from gripwright.bench.packs import Packs
from gripwright.bench.preview import handout_preview
from gripwright.bench.questions import question_routes
from gripwright.bench.recordings import recording_routes
from gripwright.bench.shelved import shelf_routes
from gripwright.bench.stream import Stream
from gripwright.bench.watch import watch
from gripwright.bench.wire import answers as told
from gripwright.bench.wire import requests as asked
from gripwright.bench.wire.events import Event, FolderChanged, LessonChanged
from gripwright.bench.wire.lesson import Changed, LessonView
from gripwright.draw.type import FONT_FOLDER
from gripwright.lesson.edit import Edit

WEB = Path(__file__).parent / "web"
EVENTS = "application/x-ndjson"


def make_app(folder: Path, token: str, hosts: tuple[str, ...]) -> Starlette:
    """Return the bench's application for an opened folder.

    ``hosts`` are the values of ``Host`` that are served, such as ``127.0.0.1:8123``.
    """
    desk = Desk(Folder(folder))
    stream = Stream()
    jobs = Jobs(stream)
    packs = Packs(desk, jobs)

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        await run_in_threadpool(desk.folder.sweep)
        tasks = [asyncio.create_task(one) for one in (watch(desk, stream), warm(), begin_ahead())]
        yield
        for task in tasks:
            task.cancel()
        jobs.close()

    async def events(request: WebRequest) -> Response:
        return StreamingResponse(stream.listen(jobs.events()), media_type=EVENTS)

    app = Starlette(
        routes=[
            Route("/", _page),
            Route("/tables/naming.json", _naming_table),
            Mount("/web", StaticFiles(directory=WEB)),
            Mount("/fonts", StaticFiles(directory=FONT_FOLDER)),
            *_lesson_routes(desk, stream),
            *question_routes(desk, jobs),
            *recording_routes(desk, jobs),
            *shelf_routes(desk, jobs),
            *packs.routes(),
            *jobs.routes(),
            by_hand(Call("GET", "/api/events", asked.Nothing, Event), events),
        ],
        middleware=[Middleware(Guard, hosts=hosts, token=token)],
        lifespan=lifespan,
    )
    app.state.packs, app.state.jobs = packs, jobs
    return app


async def _page(request: WebRequest) -> Response:
    page = await run_in_threadpool((WEB / "index.html").read_bytes)
    return Response(page, media_type="text/html; charset=utf-8")


async def _naming_table(request: WebRequest) -> Response:
    table = await run_in_threadpool(pkgutil.get_data, "gripwright.harmony", "naming.json")
    return Response(table, media_type="application/json")


def _lesson_routes(desk: Desk, stream: Stream) -> list[CallRoute]:
    def folder(of: asked.Nothing) -> told.FolderTold:
        desk.folder.check()
        beside = desk.beside()
        return told.FolderTold(
            lessons=desk.lessons(), takes=beside.takes, captions=beside.captions,
            pictures=beside.pictures,
        )  # fmt: skip

    def new(of: asked.NewLesson) -> told.Started:
        path = desk.create(of.title, of.tuning)
        stream.publish_from_thread(FolderChanged())
        return told.Started(path=path)

    def edit(of: asked.EditText) -> Changed:
        wanted = Edit(of.base_sha256, of.start, of.end, of.text)
        return changed(of, lambda text, parsed: wanted)

    def intent(of: asked.Intend) -> Changed:
        return changed(of, edit_maker(of.intent, of.args))

    def changed(of: asked.EditText | asked.Intend, make: Make) -> Changed:
        answer = desk.change(of.path, make, of.base_sha256)
        stream.publish_from_thread(LessonChanged(of.path, answer.lesson.sha256))
        return answer

    return [
        ask("/api/folder", asked.Nothing, told.FolderTold, folder, method="GET"),
        ask("/api/lesson", asked.OfLesson, LessonView, lambda of: desk.view(of.path), method="GET"),
        ask("/api/new", asked.NewLesson, told.Started, new, status=201),
        ask("/api/edit", asked.EditText, Changed, edit),
        ask("/api/intent", asked.Intend, Changed, intent),
        look("/api/preview", asked.OfLesson, "application/pdf",
             lambda of: handout_preview(desk, of.path)),
    ]  # fmt: skip
