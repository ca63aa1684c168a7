"""The shelf on the bench: what was taught where, what is favoured, what comes next.

The answers are those of the commands, but for where a file lies: one in the opened folder is named
by its path there and can be opened, of another only its name is told.
"""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import asdict
from pathlib import Path
from typing import Any

from gripwright.bench import works
from gripwright.bench.calls import CallRoute, as_command, ask
from gripwright.bench.desk import Desk, whole
from gripwright.bench.jobs import Jobs
from gripwright.bench.wire import shelf as wire
from gripwright.bench.wire.requests import Nothing
from gripwright.errors import GripwrightError
from gripwright.shelf.ahead import ahead, novelty
from gripwright.shelf.facts import facts_of
from gripwright.shelf.find import Found, find
from gripwright.shelf.report import Habit, report
from gripwright.shelf.store import default_path, open_shelf
from gripwright.theory.symbol import parse_symbol


def shelf_routes(desk: Desk, jobs: Jobs) -> list[CallRoute]:
    """Return the routes of the shelf."""
    return [
        ask("/api/shelf", Nothing, wire.ShelfTold, lambda of: _told(desk), method="GET"),
        ask("/api/shelf", wire.ShelveAsked, wire.Shelved, lambda of: _put(desk, jobs, of),
            left=jobs.left),
        as_command("find", wire.FindAsked, wire.FindBeside, lambda of: _find(desk, of),
                   like="shelf"),
        as_command("report", Nothing, wire.ReportBeside, lambda of: _report(), like="shelf"),
        as_command("next", wire.NextAsked, wire.NextBeside, lambda of: _next(desk, of),
                   like="shelf"),
    ]  # fmt: skip


def _place() -> Path:
    return default_path(os.environ)


def _put(desk: Desk, jobs: Jobs, of: wire.ShelveAsked) -> wire.Shelved:
    """Put the lessons of the folder on the shelf; one that is cancelled leaves it as it was."""
    paths = [lesson.path for lesson in desk.lessons()]
    with jobs.begin("shelf", "", of.job) as doing:
        facts, refused = doing.work(works.read_for_shelf, desk.folder, paths)
        doing.check()
        with open_shelf(_place(), make=True) as shelf:
            done = Counter(shelf.put(one) for one in facts)
            size = shelf.size
    return wire.Shelved(
        lessons=size, added=done["added"], updated=done["updated"], unchanged=done["unchanged"],
        refused=refused,
    )  # fmt: skip


def _told(desk: Desk) -> wire.ShelfTold:
    """Return how many lessons are on the shelf, and which of the folder are not as they are now."""
    if not _place().exists():
        return wire.ShelfTold(lessons=0, waiting=[one.path for one in desk.lessons()])
    with open_shelf(_place()) as shelf:
        rows = shelf.rows("SELECT path, sha256 FROM lessons")
    known = {row["path"]: row["sha256"] for row in rows}
    root = desk.folder.root.resolve()
    waiting = [
        one.path for one in desk.lessons()
        if known.get(str(root / one.path)) != _sha256(desk, one.path)
    ]  # fmt: skip
    return wire.ShelfTold(lessons=len(rows), waiting=waiting)


def _sha256(desk: Desk, path: str) -> str:
    try:
        return desk.sha256(path)
    except GripwrightError:  # taken away just now, or no text
        return ""


def _find(desk: Desk, of: wire.FindAsked) -> dict[str, Any]:
    with open_shelf(_place()) as shelf:
        kind, found = find(shelf, of.query, moved=of.moved)
    return {"query": of.query, "kind": kind, "found": [_row(desk, one) for one in found]}


def _row(desk: Desk, one: Found) -> dict[str, Any]:
    inside = _inside(desk, Path(one.path))
    path = inside or Path(one.path).name
    return asdict(one) | {"path": path, "missing": one.is_missing, "opens": inside is not None}


def _inside(desk: Desk, path: Path) -> str | None:
    """Return a path in the opened folder, None where it lies elsewhere."""
    root = desk.folder.root.resolve()
    if not path.is_relative_to(root):
        return None
    inside = path.relative_to(root).as_posix()
    try:
        desk.folder.check_file(inside)
    except GripwrightError:
        return None
    return inside


def _report() -> dict[str, Any]:
    with open_shelf(_place()) as shelf:
        found = report(shelf)
    habits = {
        name: [asdict(one) | _asked_as(name, one) for one in own]
        for name, own in found.habits.items()
    }
    return {"lessons": found.lessons, "chords": found.chords, **habits}


def _asked_as(name: str, one: Habit) -> dict[str, Any]:
    """Return how a habit is said, and the question that finds where it is taught."""
    match name:
        case "qualities":
            return {"said": _said(name, one.what), "query": f"C{one.what}", "moved": True}
        case "shapes":
            return {"said": one.what, "query": one.what, "moved": True}
        case "grips" | "moves" | "remarks":
            return {"said": _said(name, one.what), "query": one.what, "moved": False}
    return {"said": one.what, "query": "", "moved": False}


def _said(name: str, what: str) -> str:
    if name == "qualities":
        return parse_symbol(f"C{what}").pretty
    return what.replace("-", " ") if name in ("remarks", "devices") else what


def _next(desk: Desk, of: wire.NextAsked) -> dict[str, Any]:
    with open_shelf(_place()) as shelf:
        if of.path is None:
            given = [asdict(one) for one in ahead(shelf, of.level)]
            return {"suggestions": given, "lesson": None, "brings": []}
        text, parsed = desk.read(of.path)
        whole(of.path, parsed)
        brings = novelty(shelf, facts_of(desk.folder.root / of.path, text, parsed))
    rows = [
        {"name": name, "new": [_said(name, one) for one in new], "again": len(brings.again[name])}
        for name, new in brings.new.items()
    ]
    return {"suggestions": [], "lesson": asdict(brings), "brings": rows}
