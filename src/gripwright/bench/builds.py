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
from dataclasses import asdict, dataclass, field
from mimetypes import guess_type
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from gripwright.bench.build_worker import work
from gripwright.bench.desk import Desk
from gripwright.bench.replies import guarded, reply, request_object, text_field
from gripwright.bench.stream import Stream
from gripwright.errors import InputError
from gripwright.pack.folder import check_target

MOST_TICKETS = 64
STOPPED = "Stopped. The pack from before is as it was."
BROKE = "The build broke off; the terminal of the bench says why. The pack from before stands."
_SPAWN = multiprocessing.get_context("spawn")


@dataclass
class Job:
    """A build as the windows see it: ``done`` of ``total``, then what came out."""

    id: str
    kind: str = "build"
    stage: str = "starting"
    done: float = 0
    total: float = 1
    state: str = "running"
    message: str | None = None
    result: dict[str, Any] | None = None


@dataclass
class Builds:
    """The builds of one run of the bench."""

    desk: Desk
    stream: Stream
    job: Job | None = None
    folders: dict[str, Path] = field(default_factory=dict)
    tickets: dict[str, Path] = field(default_factory=dict)
    worker: BaseProcess | None = None
    stopping: bool = False

    def routes(self) -> list[Route]:
        """Return the routes of building and of looking at what was built."""
        return [
            Route("/api/build", guarded(self._start), methods=["POST"]),
            Route("/api/cancel", guarded(self._cancel), methods=["POST"]),
            Route("/api/ticket", guarded(self._ticket), methods=["POST"]),
            Route("/view/{ticket}/{name}", self._view),
        ]

    def close(self) -> None:
        """End a build that still runs; the pack from before stays as it was."""
        self.stopping = True
        if self.worker is not None and self.worker.pid and self.worker.is_alive():
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.worker.pid, signal.SIGINT)

    async def _start(self, request: Request) -> Response:
        given = await request_object(request)
        path = text_field(given, "path")
        if self.job is not None and self.job.state == "running":
            raise InputError(
                "a pack is being built", field="path", remedy="wait for it, or stop it first"
            )
        place = self.desk.folder.path(path)
        out = self.desk.folder.root / (place.stem + "-pack")
        check_target(out)
        self.job, self.stopping = Job(secrets.token_hex(8)), False
        args = (self.job, place, out, given.get("anyway") is True)
        threading.Thread(target=self._follow, args=args, daemon=True).start()
        return reply({"job": asdict(self.job)})

    async def _cancel(self, request: Request) -> Response:
        self.close()
        return reply({"job": asdict(self.job) if self.job else None})

    def _follow(self, job: Job, place: Path, out: Path, anyway: bool) -> None:
        """Start a worker and tell of its steps until it ends, however it ends."""
        ours, theirs = _SPAWN.Pipe(duplex=False)
        self.worker = _SPAWN.Process(target=work, args=(theirs, place, out, anyway))
        self.worker.start()
        theirs.close()
        with contextlib.suppress(EOFError), ours:
            while True:
                self._hear(job, out, ours.recv())
        self.worker.join()
        if job.state == "running":
            job.state, job.message = ("stopped", STOPPED) if self.stopping else ("failed", BROKE)
        self._tell(job)

    def _hear(self, job: Job, out: Path, told: tuple[Any, ...]) -> None:
        match told:
            case ("step", stage, done):
                job.stage, job.done = stage, done
                self._tell(job)
            case ("done", result):
                self.folders[job.id] = out
                job.state, job.done, job.result = "done", 1.0, result
            case ("failed", words):
                job.state, job.message = "failed", words
            case _:
                job.state, job.message = "stopped", STOPPED

    def _tell(self, job: Job) -> None:
        self.stream.publish_from_thread({"kind": "job", "job": asdict(job)})

    async def _ticket(self, request: Request) -> Response:
        given = await request_object(request)
        folder = self.folders.get(text_field(given, "id"))
        path = text_field(given, "path")
        job = self.job
        known = {row["path"] for row in (job.result or {}).get("products", [])} if job else set()
        if folder is None or path not in known:
            raise InputError(f"{path!r} is not in that pack", field="path", remedy="build it first")
        ticket = secrets.token_urlsafe(24)
        while len(self.tickets) >= MOST_TICKETS:
            self.tickets.pop(next(iter(self.tickets)))
        self.tickets[ticket] = folder / path
        return reply({"address": f"/view/{ticket}/{Path(path).name}"})

    async def _view(self, request: Request) -> Response:
        place = self.tickets.get(request.path_params["ticket"])
        if place is None or place.name != request.path_params["name"] or place.is_symlink():
            return Response(status_code=404)
        if not await run_in_threadpool(place.is_file):
            return Response(status_code=404)
        kind = guess_type(place.name)[0] or "application/octet-stream"
        return FileResponse(place, media_type=kind)
