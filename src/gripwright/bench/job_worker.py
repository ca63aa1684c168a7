"""A worker: a process of its own that does one long work, so that the server goes on answering.

It can be stopped at any point as Ctrl-C stops a command. Through its pipe come
``("step", stage, done)``, one at once, and at last one of ``("done", result)`` and
``("failed", error)``; a worker that is stopped says nothing more.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import signal
import sys
import time
from collections.abc import Callable
from multiprocessing import forkserver
from multiprocessing.connection import Connection
from typing import Any

from gripwright.cli.unforeseen import foreseen

PERIOD_S = 0.5
STEP_S = 0.1
AHEAD_AFTER_S = 20.0
Told = Callable[[str, float], None]
"""What a work tells its stage and how much of it is done, 0 to 1."""


def context() -> Any:
    """Return how workers begin: forked from a process that has loaded what they need.

    Elsewhere than on Linux a fork may meet threads of the system's own; there each starts afresh.
    """
    if sys.platform != "linux":
        return multiprocessing.get_context("spawn")
    chosen = multiprocessing.get_context("forkserver")
    chosen.set_forkserver_preload(["gripwright.bench.works"])
    return chosen


async def begin_ahead() -> None:
    """Load what works need, a while after the start, so that the first begins fast too."""
    await asyncio.sleep(AHEAD_AFTER_S)
    if context().get_start_method() == "forkserver":
        await asyncio.to_thread(forkserver.ensure_running)


def labour(pipe: Connection, work: Callable[..., Any], args: tuple[Any, ...]) -> None:
    """Do a work and tell of it; errors are told, not raised.

    A worker whose bench was killed is stopped too.
    """
    _end_with_the_bench()
    try:
        pipe.send(("step", "starting", 0.0))
        pipe.send(("done", work(_teller(pipe), *args)))
    except (BrokenPipeError, KeyboardInterrupt):
        return
    except Exception as failure:  # noqa: BLE001 - whatever failed, the window is told
        pipe.send(("failed", foreseen(failure)))


def _teller(pipe: Connection) -> Told:
    """Return what sends steps, no more of them than an eye can follow."""
    last_s = 0.0

    def told(stage: str, done: float) -> None:
        nonlocal last_s
        now_s = time.monotonic()
        if now_s - last_s >= STEP_S:
            last_s = now_s
            pipe.send(("step", stage, done))

    return told


def _end_with_the_bench() -> None:
    """Look twice a second whether the bench is there, and stop as by Ctrl-C where it is not."""
    bench = multiprocessing.parent_process()

    def look(number: int, frame: object) -> None:
        if bench is not None and not bench.is_alive():
            signal.setitimer(signal.ITIMER_REAL, 0)
            raise KeyboardInterrupt

    signal.signal(signal.SIGALRM, look)
    signal.siginterrupt(signal.SIGALRM, False)  # what other libraries read goes on
    signal.setitimer(signal.ITIMER_REAL, PERIOD_S, PERIOD_S)
