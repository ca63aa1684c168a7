"""Building packs from the bench: one at a time, with progress, cancelled on request.

Results are opened through a ticket: an address that holds a secret of its own, is served in a
sandbox without origin, and reaches only files that the manifest of that pack names.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import secrets
import signal
import threading
from dataclasses import dataclass, field
from mimetypes import guess_type
from multiprocessing.process import BaseProcess
from pathlib import PurePosixPath
from typing import Any, Literal

import msgspec
from starlette.requests import Request as WebRequest
from starlette.responses import FileResponse, Response
from starlette.routing import BaseRoute, Route
from starlette.types import Receive, Scope, Send

from gripwright.bench.build_worker import work
from gripwright.bench.calls import ask
from gripwright.bench.desk import Desk
from gripwright.bench.stream import Stream
from gripwright.bench.wire import answers as told
from gripwright.bench.wire import requests as asked
from gripwright.bench.wire.answers import Job
from gripwright.bench.wire.events import JobChanged
from gripwright.errors import BuildError, GripwrightError, InputError
from gripwright.pack.folder import check_target

MOST_TICKETS = 64
STOPPED = "Stopped. The pack from before is as it was."
BROKE = "The build broke off; the terminal of the bench says why. The pack from before stands."
State = Literal["done", "failed", "stopped"]
_SPAWN = multiprocessing.get_context("spawn")


@dataclass
class Builds:
    """The builds of one run of the bench."""

    desk: Desk
    stream: Stream
    job: Job | None = None
    folders: dict[str, str] = field(default_factory=dict)
    products: dict[str, frozenset[str]] = field(default_factory=dict)
    tickets: dict[str, str] = field(default_factory=dict)
    worker: BaseProcess | None = None
    stopping: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)

    def routes(self) -> list[BaseRoute]:
        """Return the routes of building and of looking at what was built."""
        return [
            ask("/api/build", asked.BuildAsked, told.JobTold, self._start),
            ask("/api/cancel", asked.CancelAsked, told.JobTold, self._cancel),
            ask("/api/ticket", asked.TicketAsked, told.Ticket, self._ticket),
            Route("/view/{ticket}/{name}", self._view),
        ]

    def event(self) -> JobChanged | None:
        """Return what a window that comes now has to know of builds."""
        return JobChanged(self.job) if self.job else None

    def close(self) -> None:
        """End a build that still runs; the pack from before stays as it was."""
        self.stopping = True
        if self.worker is not None and self.worker.pid and self.worker.is_alive():
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.worker.pid, signal.SIGINT)

    def _start(self, given: asked.BuildAsked) -> told.JobTold:
        text = self.desk.text(given.path)
        pack = _pack_beside(given.path)
        if self.desk.folder.is_link(pack):
            raise BuildError(
                f"{pack!r} is a link; a pack is only built inside the folder", field="path",
                remedy="take the link away",
            )  # fmt: skip
        out = self.desk.folder.root / pack
        check_target(out)
        with self.lock:
            if self.job is not None and self.job.state == "running":
                raise InputError(
                    "a pack is being built", field="path", remedy="wait for it, or stop it first"
                )
            job = self.job = Job(secrets.token_hex(8))
            self.stopping = False
        name = PurePosixPath(given.path).name
        args = (job, pack, (name, text, out, given.anyway))
        threading.Thread(target=self._follow, args=args, daemon=True).start()
        return told.JobTold(job=msgspec.structs.replace(job))

    def _cancel(self, given: asked.CancelAsked) -> told.JobTold:
        if self.job is not None and given.id in (None, self.job.id):
            self.close()
        return told.JobTold(job=self.job)

    def _follow(self, job: Job, pack: str, order: tuple[Any, ...]) -> None:
        """Start a worker and tell of its steps until it ends, however it ends."""
        ours, theirs = _SPAWN.Pipe(duplex=False)
        worker = self.worker = _SPAWN.Process(target=work, args=(theirs, *order))
        worker.start()
        theirs.close()
        if self.stopping:  # asked for before there was anything to stop
            self.close()
        state: State = "failed"
        message: str | None = BROKE
        with contextlib.suppress(EOFError), ours:
            while True:
                match ours.recv():
                    case ("step", stage, done):
                        job.stage, job.done = stage, done
                        self._tell(job)
                    case ("done", result):
                        self._keep(job, pack, result)
                        state, message = "done", None
                    case ("failed", words):
                        state, message = "failed", words
                    case _:
                        state, message = "stopped", STOPPED
        worker.join()
        if state == "failed" and message == BROKE and self.stopping:
            state, message = "stopped", STOPPED
        job.state, job.message = state, message
        self._tell(job)

    def _keep(self, job: Job, pack: str, result: dict[str, Any]) -> None:
        job.done, job.result = 1.0, msgspec.convert(result, told.Pack)
        self.folders[job.id] = pack
        self.products[job.id] = frozenset(product.path for product in job.result.products)

    def _tell(self, job: Job) -> None:
        self.stream.publish_from_thread(JobChanged(msgspec.structs.replace(job)))

    def _ticket(self, given: asked.TicketAsked) -> told.Ticket:
        if given.path not in self.products.get(given.id, ()):
            raise InputError(
                f"{given.path!r} is not in that pack", field="path", remedy="build it first"
            )
        ticket = secrets.token_urlsafe(24)
        while len(self.tickets) >= MOST_TICKETS:
            self.tickets.pop(next(iter(self.tickets)))
        self.tickets[ticket] = f"{self.folders[given.id]}/{given.path}"
        return told.Ticket(address=f"/view/{ticket}/{PurePosixPath(given.path).name}")

    async def _view(self, request: WebRequest) -> Response:
        path = self.tickets.get(request.path_params["ticket"], "")
        name = PurePosixPath(path).name
        if not path or name != request.path_params["name"]:
            return Response(status_code=404)
        return _Product(self.desk, path, guess_type(name)[0] or "application/octet-stream")


class _Product(Response):
    """A file of a pack, sent from what was opened inside the folder and nothing else."""

    def __init__(self, desk: Desk, path: str, kind: str) -> None:
        super().__init__(media_type=kind)
        self._desk, self._path = desk, path

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send the file, or the part of it that the request's range names."""
        try:
            with self._desk.folder.open(self._path) as file:
                sent = FileResponse(f"/dev/fd/{file.fileno()}", media_type=self.media_type)
                await sent(scope, receive, send)
        except GripwrightError:
            await Response(status_code=404)(scope, receive, send)


def _pack_beside(lesson: str) -> str:
    """Return where the pack of a lesson is built: beside it.

    >>> _pack_beside("songs/one.md")
    'songs/one-pack'
    """
    path = PurePosixPath(lesson)
    return (path.parent / f"{path.stem}-pack").as_posix()
