"""What waits for the bench together: a change never moves what a later one points at."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import msgspec
import pytest

from gripwright.bench.intents import edit_maker
from gripwright.bench.lesson_view import lesson_view
from gripwright.bench.wire.lesson import PartView
from gripwright.errors import GripwrightError
from gripwright.lesson.edit import apply_edit
from gripwright.lesson.text import parse

MODULE = Path(__file__).parents[1] / "src" / "gripwright" / "bench" / "web" / "independent.js"
TEXT = """---
title: One
key: C major
---

```part Verse
| C / G _ | same | / Am _ F | _ G / C | Dm7 G7 | same 2 |
| Am <F C / | / / G _ | F A D _ | same |
```

```part Bridge
| F G | same | _ Am C | same 2 |
```
"""
Meant = dict[str, Any]
CHANGES: tuple[tuple[str, Meant], ...] = (
    ("stretch_chord", {"beats": 1}), ("stretch_chord", {"beats": -1}),
    ("insert_chord", {"writing": "E7"}), ("delete_chord", {}), ("push_chord", {"marks": 1}),
    ("set_chord", {"writing": "E7"}),
)  # fmt: skip


def _parts(text: str) -> list[PartView]:
    return lesson_view("one.md", text, parse(text)).parts


def _places(parts: list[PartView]) -> list[dict[str, int]]:
    return [
        {"part": p, "bar": b, "event": e}
        for p, part in enumerate(parts)
        for b, bar in enumerate(part.bars)
        for e in range(len(bar.events))
    ]


def _reaches(pairs: list[tuple[Any, Any]], parts: list[PartView]) -> list[bool]:
    """Return what the window says of (waiting, next) pairs of changes."""
    given = json.dumps([pairs, msgspec.to_builtins(parts)])
    script = (
        f'import {{ reaches }} from "{MODULE.as_uri()}"; import {{ readFileSync }} from "node:fs";'
        'const [pairs, parts] = JSON.parse(readFileSync(0, "utf8"));'
        "console.log(JSON.stringify(pairs.map(([old, next]) => reaches(old, next, parts))));"
    )
    run = subprocess.run(["node", "--input-type=module", "-e", script], input=given,
                         capture_output=True, text=True, check=True)  # fmt: skip
    found: list[bool] = json.loads(run.stdout)
    return found


def _frame(parts: list[PartView], at: dict[str, int], intent: str) -> list[tuple[float, object]]:
    """Return where the chords of a bar stand, and which; setting one moves none."""
    events = parts[at["part"]].bars[at["bar"]].events
    return [(event.beats, intent == "set_chord" or event.symbol) for event in events]


@pytest.mark.skipif(not shutil.which("node"), reason="node is not installed")
def test_what_may_wait_beside_a_change_is_not_moved_by_it() -> None:
    """Every change of every chord: where the window lets another one wait, its bar is as it was."""
    parsed = parse(TEXT)
    parts = _parts(TEXT)
    bars = [place for place in _places(parts) if place["event"] == 0]
    meant: list[Meant] = [{"intent": name, "args": {**at, **more}}
             for name, more in CHANGES for at in _places(parts)]  # fmt: skip
    later = [{"intent": "delete_chord", "args": to} for to in bars]
    told = iter(_reaches([(old, next_) for old in meant for next_ in later], parts))
    let = 0
    for old in meant:
        allowed = [to for to in bars if not next(told)]
        try:
            edit = edit_maker(old["intent"], old["args"])(TEXT, parsed)
        except GripwrightError:
            continue
        after = _parts(apply_edit(TEXT, edit))
        for to in allowed:
            before, now = (_frame(ps, to, old["intent"]) for ps in (parts, after))
            assert before == now, (old, to)
            let += 1
    assert let > 500


TOGETHER = (
    (("stretch_chord", (0, 4)), ("delete_chord", (0, 8)), False),
    (("stretch_chord", (0, 4)), ("delete_chord", (0, 4)), True),
    (("stretch_chord", (0, 0)), ("delete_chord", (0, 1)), True),  # its repeat
    (("stretch_chord", (0, 4)), ("set_chord", (0, 0)), False),
    (("set_chord", (0, 4)), ("delete_chord", (0, 4)), False),
    (("set_chord", (0, 4)), ("set_chord", (0, 4)), False),
    (("append_chord", (0, 9)), ("delete_chord", (0, 9)), True),
    (("move_chord", (0, 4)), ("delete_chord", (0, 8)), True),  # it may cross the barline
    (("insert_bar", (0, 1)), ("set_chord", (0, 0)), True),
    (("insert_bar", (0, 1)), ("set_chord", (1, 0)), False),
    (("take_arrangement", None), ("delete_chord", (1, 0)), True),
    (("delete_chord", (1, 0)), ("set_front", None), False),
)  # fmt: skip


@pytest.mark.skipif(not shutil.which("node"), reason="node is not installed")
def test_which_changes_may_wait_together() -> None:
    """A bar apart may change; the same bar, its repeats, and bars that come or go may not."""

    def meant(change: Any) -> dict[str, Any]:
        intent, at = change
        return {"intent": intent, "args": {"part": at[0], "bar": at[1], "event": 0} if at else {}}

    pairs = [(meant(old), meant(following)) for old, following, _ in TOGETHER]
    assert _reaches(pairs, _parts(TEXT)) == [told for _, _, told in TOGETHER]
