"""Long work on the bench: in processes of its own, with progress, cancelled on request.

A window that asks for it may give the job's id, by which it knows the steps that the stream
tells, and by which any window can cancel it.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import signal
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.process import BaseProcess
from types import TracebackType
from typing import Any

import msgspec

from gripwright.bench.calls import CallRoute, ask
from gripwright.bench.job_worker import context, labour
from gripwright.bench.refusals import without_folders
from gripwright.bench.stream import Stream
from gripwright.bench.wire import answers as told
from gripwright.bench.wire import requests as asked
from gripwright.bench.wire.answers import Job, JobKind
from gripwright.bench.wire.events import JobChanged
from gripwright.bench.wire.shelf import ShelveAsked
from gripwright.errors import GripwrightError, InputError, InternalError, StoppedError

MOST_AT_ONCE = 3
CANCELLED = "Cancelled. All is as it was before."
BROKE = "the work broke off; nothing was changed"
_CONTEXT = context()


class Doing:
    """A job under way; as a context it tells how the block ends, whatever ends it."""

    def __init__(self, job: Job, changed: Callable[[Doing], None]) -> None:
        self.job, self._changed = job, changed
        self._worker: BaseProcess | None = None
        self._begun = self._cancelled = False
        self._lock = threading.Lock()

    def work(self, work: Callable[..., Any], *args: Any) -> Any:
        """Return what a function of a module returns in a process of its own.

        Raises what it raises, StoppedError when it was cancelled, InternalError when the process
        ended without a word.
        """
        ours, theirs = _CONTEXT.Pipe(duplex=False)
        self._worker = _CONTEXT.Process(target=labour, args=(theirs, work, args))
        self._worker.start()
        theirs.close()
        outcome = self._heard(ours)
        self._worker.join()
        match outcome:
            case ("done", result):
                return result
            case ("failed", error):
                raise error
        self.check()
        raise InternalError(BROKE, remedy="the terminal of the bench says why")

    def _heard(self, pipe: Any) -> tuple[Any, ...] | None:
        """Tell of steps until the last word, None where a worker ends without one."""
        with pipe, contextlib.suppress(EOFError, OSError):
            while True:
                said: tuple[Any, ...] = pipe.recv()
                if said[0] != "step":
                    return said
                _, self.job.stage, self.job.done = said
                self._changed(self)
                with self._lock:  # asked for before there was anything to stop
                    begins, self._begun = not self._begun, True
                    if begins and self._cancelled:
                        self._interrupt()
        return None

    def cancel(self) -> None:
        """Stop the work as Ctrl-C would; what was there before stays as it was."""
        with self._lock:
            if self._begun and not self._cancelled:
                self._interrupt()
            self._cancelled = True

    def check(self) -> None:
        """Raise StoppedError where it was cancelled: nothing is to be written any more."""
        if self._cancelled:
            raise StoppedError(CANCELLED, remedy="ask for it again when you want it")

    def _interrupt(self) -> None:
        if self._worker is not None and self._worker.pid and self._worker.is_alive():
            with contextlib.suppress(ProcessLookupError):
                os.kill(self._worker.pid, signal.SIGINT)

    def __enter__(self) -> Doing:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        job = self.job
        match error:
            case None:
                job.state, job.done = "done", job.total
            case StoppedError():
                job.state, job.message = "stopped", error.message
            case _:
                job.state, job.message = "failed", _words(error)
        self._changed(self)


@dataclass
class Jobs:
    """The long work of one run of the bench."""

    stream: Stream
    going: dict[str, Doing] = field(default_factory=dict)
    built: Job | None = None
    lock: threading.Lock = field(default_factory=threading.Lock)

    def routes(self) -> list[CallRoute]:
        """Return the route of cancelling."""
        return [ask("/api/cancel", asked.CancelAsked, told.JobTold, self._cancel)]

    def begin(self, kind: JobKind, path: str, job_id: str | None = None) -> Doing:
        """Return a new job about a file; raises InputError where too much goes on already."""
        job = Job(job_id or secrets.token_hex(8), kind, path)
        with self.lock:
            kinds = [one.job.kind for one in self.going.values()]
            if job.id in self.going or len(kinds) >= MOST_AT_ONCE:
                raise _busy(f"{len(kinds)} long works are under way", "one of them")
            if kind == "build" and "build" in kinds:
                raise _busy("a pack is being built", "it")
            doing = self.going[job.id] = Doing(job, self._changed)
            if kind == "build":
                self.built = job
        return doing

    def left(self, of: asked.LongAsked | ShelveAsked) -> None:
        """Cancel what a window has asked for that went away before the answer."""
        if of.job in self.going:
            self.going[of.job].cancel()

    def close(self) -> None:
        """Cancel all that goes on."""
        for doing in list(self.going.values()):
            doing.cancel()

    def events(self) -> list[JobChanged]:
        """Return what a window that comes now has to know: what goes on, and the last build."""
        known = [doing.job for doing in list(self.going.values())]
        if self.built is not None and self.built not in known:
            known.insert(0, self.built)
        return [JobChanged(job) for job in known]

    def _cancel(self, given: asked.CancelAsked) -> told.JobTold:
        chosen = given.id or (self.built.id if self.built else "")
        doing = self.going.get(chosen)
        if doing is not None:
            doing.cancel()
        return told.JobTold(job=doing.job if doing else self.built)

    def _changed(self, doing: Doing) -> None:
        if doing.job.state != "running":
            self.going.pop(doing.job.id, None)
        self.stream.publish_from_thread(JobChanged(msgspec.structs.replace(doing.job)))


def _busy(said: str, what: str) -> InputError:
    return InputError(said, field="job", remedy=f"wait for {what}, or cancel {what} first")


def _words(error: BaseException) -> str:
    if not isinstance(error, GripwrightError):
        return BROKE
    return without_folders(f"{error.message}; {error.remedy}" if error.remedy else error.message)
