"""Build a pack in a process of its own, so that the server's threads and a build's workers
never meet and a build can be stopped at any point.

The process tells of its steps through a pipe: ``("step", stage, done)``, then one of
``("done", result)`` and ``("failed", words)``.
"""

from __future__ import annotations

import os
from multiprocessing.connection import Connection
from pathlib import Path

from gripwright.errors import GripwrightError
from gripwright.lesson.text import lesson_error, parse, read_text
from gripwright.pack.build import build
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.gate import findings_that_stop
from gripwright.pack.run import Step


def work(pipe: Connection, place: Path, out: Path, anyway: bool) -> None:
    """Build the lesson at a place into a folder and tell of it; errors are told, not raised."""
    try:
        _build(pipe, place, out, anyway)
    except GripwrightError as error:
        remedy = f"; {error.remedy}" if error.remedy else ""
        pipe.send(("failed", f"{error.message}{remedy}"))
    except OSError as error:
        pipe.send(("failed", f"{error.strerror}: {error.filename}"))
    except KeyboardInterrupt:
        pipe.send(("stopped", None))


def _build(pipe: Connection, place: Path, out: Path, anyway: bool) -> None:
    text = read_text(place)
    parsed = parse(text)
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, place.name)
    stops = () if anyway else findings_that_stop(parsed, text)
    if stops:
        pipe.send(("failed", f"line {stops[0].line}: {stops[0].message}"))
        return

    def told(step: Step) -> None:
        pipe.send(("step", step.stage, step.done))

    pack = build(parsed.lesson, out, Cache(default_folder(os.environ)), told=told)
    products = [
        {"path": row.path, "kind": row.kind, "bytes": row.bytes} for row in pack.manifest.files
    ]
    pipe.send(("done", {"folder": out.name, "products": products}))
