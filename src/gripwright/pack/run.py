"""Run the stages that have to run: the heavy ones each in a process of its own.

A worker makes its product straight into the cache and ends, so a parent that dies leaves at
most a finished product behind. Whatever ends the run early (Ctrl-C, an error, an exception
from ``told``) ends the workers too.
"""

from __future__ import annotations

import multiprocessing
import signal
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib import import_module
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any, Literal

from gripwright.errors import BuildError, GripwrightError
from gripwright.lesson.model import Lesson
from gripwright.pack.cache import Cache, Kept
from gripwright.pack.digest import code_digest, digest
from gripwright.pack.refusals import full_or_limited, in_words
from gripwright.pack.stage import Job, Made, Settings, Stage

HEAVY = 0.5
_POLL_S = 0.1


@dataclass(frozen=True, slots=True)
class Task:
    """A stage with all that it may see, and the key that follows from it."""

    stage: Stage
    lesson: Lesson
    chosen: Mapping[str, Any]
    key: str


@dataclass(frozen=True, slots=True)
class Step:
    """Progress: a stage was found in the cache, goes on, or is made; ``done`` is 0 to 1."""

    stage: str
    state: Literal["kept", "running", "made"]
    done: float


Told = Callable[[Step], None]


def plan(stages: Sequence[Stage], lesson: Lesson, settings: Settings) -> tuple[Task, ...]:
    """Return a task for each stage, in an order in which each comes after what it needs."""
    keys: dict[str, str] = {}
    tasks = []
    for stage in stages:
        view, chosen = stage.view(lesson), stage.chosen(settings)
        needs = [keys[name] for name in stage.after]
        keys[stage.name] = digest((code_digest(), stage.name, stage.module, view, chosen, needs))
        tasks.append(Task(stage, view, chosen, keys[stage.name]))
    return tuple(tasks)


def run(
    tasks: Sequence[Task],
    cache: Cache,
    told: Told,
    *,
    processes: int = 2,
    given: Mapping[str, Path] | None = None,
) -> dict[str, tuple[Kept, ...]]:
    """Return the products of every task, from the cache or made now.

    ``given`` are files from outside that every stage may read by name; their hashes are among
    the settings of those that do. Raises BuildError when a stage fails.
    """
    return _Run(tasks, cache, told, processes, given or {}).all()


class _Run:
    """One run: what is made, what is on the way, how far we are."""

    def __init__(
        self, tasks: Sequence[Task], cache: Cache, told: Told, processes: int,
        given: Mapping[str, Path],
    ) -> None:  # fmt: skip
        self.cache, self.told, self.processes, self.given = cache, told, processes, given
        self.tasks = tasks
        self.made: dict[str, tuple[Kept, ...]] = {}
        self.waiting: list[Task] = []
        self.workers: dict[str, tuple[Task, BaseProcess, Connection]] = {}
        self.total = sum(task.stage.weight for task in tasks)
        self.done = 0.0
        self.share: dict[str, float] = {}
        for task in tasks:
            kept = cache.find(task.key)
            if kept is None:
                self.waiting.append(task)
            else:
                self._finish(task, kept, "kept")

    def all(self) -> dict[str, tuple[Kept, ...]]:
        try:
            while self.waiting or self.workers:
                self._start_workers()
                task = self._next(lambda task: not self._apart(task))
                if task is None:
                    self._collect()
                else:
                    self._tell(task, "running")
                    make(task, self._given(task), self.cache, self._hearing(task))
                    self._finish(task, self._found(task), "made")
            return self.made
        finally:
            self._stop()

    def _apart(self, task: Task) -> bool:
        """Return whether a task runs in a process of its own."""
        return self.processes > 1 and task.stage.weight >= HEAVY

    def _next(self, wanted: Callable[[Task], bool]) -> Task | None:
        """Take the first task that is wanted and has all that it needs."""
        for task in self.waiting:
            if wanted(task) and all(name in self.made for name in task.stage.after):
                self.waiting.remove(task)
                return task
        return None

    def _start_workers(self) -> None:
        while len(self.workers) < self.processes and (task := self._next(self._apart)):
            ours, theirs = multiprocessing.Pipe(duplex=False)
            worker = _context().Process(
                target=_work, args=(task, self._given(task), self.cache, theirs), daemon=True
            )
            self._tell(task, "running")
            worker.start()
            theirs.close()
            self.workers[task.stage.name] = (task, worker, ours)

    def _collect(self) -> None:
        """Wait a moment for workers to end; hear how far they are, take in what they made."""
        wait([worker.sentinel for _, worker, _ in self.workers.values()], timeout=_POLL_S)
        for name, (task, worker, pipe) in list(self.workers.items()):
            ended = not worker.is_alive()
            self._hear(task, pipe)
            if not ended:
                self._tell(task, "running")
                continue
            worker.join()
            del self.workers[name]
            if worker.exitcode:
                raise BuildError(
                    f"making {name} broke off (exit code {worker.exitcode})", field=name,
                    remedy="see the lines above; this is an error in the program",
                )  # fmt: skip
            self._finish(task, self._found(task), "made")

    def _hear(self, task: Task, pipe: Connection) -> None:
        """Take in what a worker has said so far; raise the error that ended it."""
        with suppress(EOFError):
            while pipe.poll():
                said = pipe.recv()
                if isinstance(said, GripwrightError):
                    raise said
                self.share[task.stage.name] = said

    def _hearing(self, task: Task) -> Callable[[float], None]:
        """Return what a stage that runs in this process may tell its progress to."""

        def told(share: float) -> None:
            self.share[task.stage.name] = share
            self._tell(task, "running")

        return told

    def _given(self, task: Task) -> dict[str, Path]:
        files = (kept for name in task.stage.after for kept in self.made[name])
        return dict(self.given) | {kept.made.path: kept.place for kept in files}

    def _found(self, task: Task) -> tuple[Kept, ...]:
        kept = self.cache.find(task.key)
        if kept is None:
            raise BuildError(
                f"what {task.stage.name} made is gone from the cache", field="cache",
                remedy="build again",
            )  # fmt: skip
        return kept

    def _finish(self, task: Task, kept: tuple[Kept, ...], state: Literal["kept", "made"]) -> None:
        self.made[task.stage.name] = kept
        self.done += task.stage.weight
        self.share.pop(task.stage.name, None)
        self._tell(task, state)

    def _tell(self, task: Task, state: Literal["kept", "running", "made"]) -> None:
        going = sum(self.share.get(one.stage.name, 0.0) * one.stage.weight for one in self.tasks)
        self.told(Step(task.stage.name, state, min(1.0, (self.done + going) / self.total)))

    def _stop(self) -> None:
        for _, worker, pipe in self.workers.values():
            worker.kill()
            worker.join()
            pipe.close()


def make(
    task: Task, given: Mapping[str, Path], cache: Cache,
    told: Callable[[float], None] = lambda share: None,
) -> None:  # fmt: skip
    """Make the products of one task into the cache; raises what the stage raises."""
    module = import_module(f"gripwright.pack.stages.{task.stage.module}")
    with cache.half() as folder:
        try:
            job = Job(task.lesson, task.chosen, given, folder, told)
            made: tuple[Made, ...] = module.make(job)
        except OSError as error:
            reason, remedy = in_words(error)
            raise BuildError(
                f"making {task.stage.name} failed: {reason}",
                field=task.stage.name, remedy=f"{remedy}, or choose another cache with --cache",
            ) from error  # fmt: skip
        except BuildError as error:
            if type(error.__cause__).__name__ != "LibsndfileError":
                raise
            reason, remedy = full_or_limited(cache.folder)
            raise BuildError(
                f"making {task.stage.name} failed: {reason}", field=task.stage.name, remedy=remedy
            ) from error
        cache.put(task.key, made, folder)


def _work(task: Task, given: Mapping[str, Path], cache: Cache, pipe: Connection) -> None:
    """Be a worker: make one task; an error that is told goes back to the parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        make(task, given, cache, pipe.send)
    except GripwrightError as error:
        pipe.send(error)


def _context() -> Any:
    """Fork where that is safe (Linux, one thread): a forked worker starts at once."""
    safe = sys.platform == "linux" and threading.active_count() == 1
    return multiprocessing.get_context("fork" if safe else "spawn")
