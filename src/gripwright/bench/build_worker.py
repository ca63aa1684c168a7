"""Build a pack in a process of its own, so that the server's threads and a build's workers
never meet and a build can be stopped at any point.

The process tells of its steps through a pipe: ``("step", stage, done)``, then one of
``("done", result)`` and ``("failed", words)``.
"""

from __future__ import annotations

import os
from multiprocessing.connection import Connection
from pathlib import Path

from gripwright.bench.desk import whole
from gripwright.bench.refusals import without_folders
from gripwright.cli.unforeseen import foreseen
from gripwright.lesson.text import parse
from gripwright.pack.build import build
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.gate import findings_that_stop
from gripwright.pack.run import Step


def work(pipe: Connection, name: str, text: str, out: Path, anyway: bool) -> None:
    """Build a lesson's text into a folder and tell of it; errors are told, not raised.

    A worker whose bench was killed finds the pipe broken at its next step, and stops.
    """
    try:
        _build(pipe, name, text, out, anyway)
    except BrokenPipeError:
        return
    except Exception as failure:  # noqa: BLE001 - whatever failed, the window is told
        error = foreseen(failure)
        remedy = f"; {error.remedy}" if error.remedy else ""
        pipe.send(("failed", without_folders(f"{error.message}{remedy}")))
    except KeyboardInterrupt:
        pipe.send(("stopped", None))


def _build(pipe: Connection, name: str, text: str, out: Path, anyway: bool) -> None:
    parsed = parse(text)
    lesson = whole(name, parsed)
    stops = () if anyway else findings_that_stop(parsed, text)
    if stops:
        pipe.send(("failed", f"line {stops[0].line}: {stops[0].message}"))
        return

    def told(step: Step) -> None:
        pipe.send(("step", step.stage, step.done))

    pack = build(lesson, out, Cache(default_folder(os.environ)), told=told)
    products = [
        {"path": row.path, "kind": row.kind, "bytes": row.bytes} for row in pack.manifest.files
    ]
    pipe.send(("done", {"folder": out.name, "products": products}))
