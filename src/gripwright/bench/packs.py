"""Building packs from the bench: one at a time, and looking at what came out.

Results are opened through a ticket: an address that holds a secret of its own, is served in a
sandbox without origin, and reaches only files that the manifest of that pack names.
"""

from __future__ import annotations

import contextlib
import secrets
import threading
from dataclasses import dataclass, field
from mimetypes import guess_type
from pathlib import PurePosixPath

import msgspec
from starlette.requests import Request as WebRequest
from starlette.responses import FileResponse, Response
from starlette.routing import BaseRoute, Route
from starlette.types import Receive, Scope, Send

from gripwright.bench.calls import ask
from gripwright.bench.desk import Desk
from gripwright.bench.jobs import Doing, Jobs
from gripwright.bench.laid import Sheet
from gripwright.bench.wire import answers as told
from gripwright.bench.wire import requests as asked
from gripwright.bench.works import build_pack
from gripwright.errors import BuildError, GripwrightError, InputError
from gripwright.pack.folder import check_target
from gripwright.screen.ground import colour_of

MOST_TICKETS = 64


@dataclass
class Packs:
    """The packs that one run of the bench has built."""

    desk: Desk
    jobs: Jobs
    folders: dict[str, str] = field(default_factory=dict)
    products: dict[str, frozenset[str]] = field(default_factory=dict)
    tickets: dict[str, str] = field(default_factory=dict)

    def routes(self) -> list[BaseRoute]:
        """Return the routes of building and of looking at what was built."""
        return [
            ask("/api/build", asked.BuildAsked, told.JobTold, self._start),
            ask("/api/ticket", asked.TicketAsked, told.Ticket, self._ticket),
            Route("/view/{ticket}/{name}", self._view),
        ]

    def _start(self, given: asked.BuildAsked) -> told.JobTold:
        sheet = self.desk.sheet(given.path)
        self._check(given)
        pack = _pack_beside(given.path)
        if self.desk.folder.is_link(pack):
            raise BuildError(
                f"{pack!r} is a link; a pack is only built inside the folder", field="path",
                remedy="take the link away",
            )  # fmt: skip
        check_target(self.desk.folder.root / pack)
        doing = self.jobs.begin("build", given.path)
        job = msgspec.structs.replace(doing.job)
        args = (doing, sheet, given, pack)
        threading.Thread(target=self._follow, args=args, daemon=True).start()
        return told.JobTold(job=job)

    def _check(self, given: asked.BuildAsked) -> None:
        """Raise InputError for a file that is not in the folder."""
        picture = given.background if given.background and not colour_of(given.background) else None
        for path in filter(None, (given.take, given.cut, picture)):
            self.desk.folder.check_file(path)

    def _follow(self, doing: Doing, sheet: Sheet, given: asked.BuildAsked, pack: str) -> None:
        """Build, and keep what came out; how it ends is told by the job."""
        with contextlib.suppress(GripwrightError), doing:
            result = doing.work(build_pack, sheet, given, self.desk.folder.root / pack)
            doing.job.result = result
            self.folders[doing.job.id] = pack
            self.products[doing.job.id] = frozenset(product.path for product in result.products)

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
