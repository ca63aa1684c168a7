"""A short lesson, and what several tests of the pack need."""

from __future__ import annotations

import hashlib
from pathlib import Path

from gripwright.lesson.model import Lesson
from gripwright.lesson.text import parse

TEXT = """---
title: Two Boats & a <Bell>
tempo: 120
metre: 4/4
swing: 1/2
order: Landing, Open Water, Landing
---

# Two Boats

Prose that nobody hears.

```grips
Am7     5x555x
        1.234.
E7(#9)  x7678x
        .2134.
```

```part Landing
| Am7 / E7(#9) / | x32030=Cadd9 _ rest / |
```

```part Open Water
| 3x0003=G / <Am7 / |
```
"""


def lesson_of(text: str = TEXT) -> Lesson:
    """Return the lesson of a text that has one."""
    parsed = parse(text)
    assert parsed.lesson is not None, parsed.problems
    return parsed.lesson


def hashes(folder: Path) -> dict[str, str]:
    """Return the SHA-256 of every file below a folder, by its path."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
