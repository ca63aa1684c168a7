"""Building packs from the bench: one at a time, with progress, cancelled on request.

Results are opened through a ticket: an address that holds a secret of its own, is served in a
sandbox without origin, and reaches only files that the manifest of that pack names.
"""

from __future__ import annotations

import os
import secrets
import threading
from dataclasses import asdict, dataclass, field
from mimetypes import guess_type
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from gripwright.bench.desk import Desk
from gripwright.bench.replies import guarded, reply, request_object, text_field
from gripwright.bench.stream import Stream
from gripwright.errors import GripwrightError, InputError
from gripwright.lesson.text import lesson_error
from gripwright.pack.build import build
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.folder import check_target
from gripwright.pack.gate import findings_that_stop
from gripwright.pack.registry import STAGES
from gripwright.pack.resolve import with_grips
from gripwright.pack.run import Step

MOST_TICKETS = 64


class _Cancelled(Exception):
    pass


@dataclass
class Job:
    """A build as the windows see it: ``done`` of ``total`` stages, then what came out."""

    id: str
    kind: str = "build"
    stage: str = "starting"
    done: float = 0
    total: float = len(STAGES)
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
    stop: threading.Event = field(default_factory=threading.Event)

    def routes(self) -> list[Route]:
        """Return the routes of building and of looking at what was built."""
        return [
            Route("/api/build", guarded(self._start), methods=["POST"]),
            Route("/api/cancel", guarded(self._cancel), methods=["POST"]),
            Route("/api/ticket", guarded(self._ticket), methods=["POST"]),
            Route("/view/{ticket}/{name}", self._view),
        ]

    def close(self) -> None:
        """End a build that still runs: the bench is closing."""
        self.stop.set()

    async def _start(self, request: Request) -> Response:
        given = await request_object(request)
        path = text_field(given, "path")
        if self.job is not None and self.job.state == "running":
            raise InputError(
                "a pack is being built", field="path", remedy="wait for it, or stop it first"
            )
        self.stop.clear()
        self.job = Job(secrets.token_hex(8))
        anyway = given.get("anyway") is True
        threading.Thread(target=self._run, args=(self.job, path, anyway), daemon=True).start()
        return reply({"job": asdict(self.job)})

    async def _cancel(self, request: Request) -> Response:
        self.stop.set()
        return reply({"job": asdict(self.job) if self.job else None})

    def _run(self, job: Job, path: str, anyway: bool) -> None:
        try:
            self._build(job, path, anyway)
        except _Cancelled:
            job.state, job.message = "stopped", "Stopped. The pack from before is as it was."
        except GripwrightError as error:
            job.state = "failed"
            job.message = f"{error.message}. {error.remedy or ''}".strip()
        except OSError as error:
            job.state, job.message = "failed", f"{error.strerror}: {error.filename}"
        finally:
            if job.state == "running":
                job.state, job.message = "failed", "the build ended early"
            self._tell(job)

    def _build(self, job: Job, path: str, anyway: bool) -> None:
        parsed = self.desk.parsed(path)
        if parsed.lesson is None:
            raise lesson_error(parsed.problems, path)
        if not anyway:
            stops = findings_that_stop(parsed, self.desk.text(path))
            if stops:
                raise InputError(
                    f"line {stops[0].line}: {stops[0].message}", field="lesson",
                    remedy="put it right, or build anyway",
                )  # fmt: skip
        out = self.desk.folder.root / (Path(path).stem + "-pack")
        check_target(out)
        steps: dict[str, float] = {}

        def told(step: Step) -> None:
            if self.stop.is_set():
                raise _Cancelled
            steps[step.stage] = step.done if step.state == "running" else 1.0
            job.stage, job.done = step.stage, sum(steps.values())
            self._tell(job)

        cache = Cache(default_folder(os.environ))
        pack = build(with_grips(parsed.lesson), out, cache, told=told)
        self.folders[job.id] = pack.folder
        products = [
            {"path": row.path, "kind": row.kind, "bytes": row.bytes} for row in pack.manifest.files
        ]
        job.state, job.done = "done", job.total
        job.result = {"folder": pack.folder.name, "products": products}

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
