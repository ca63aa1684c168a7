"""The page about the lesson file: its example is a lesson, and each of its words is known."""

from __future__ import annotations

import re
from pathlib import Path

from gripwright.lesson.front import FIELDS
from gripwright.lesson.hands import KINDS, LANES
from gripwright.lesson.licks import AFTER, REACHED, SPANS
from gripwright.lesson.text import parse
from gripwright.proof.registry import Evidence, check

PAGE = (Path(__file__).parent.parent / "docs" / "lesson-file.md").read_text(encoding="utf-8")


def test_the_example_of_the_page_is_a_lesson() -> None:
    """It parses, and the proof finds nothing wrong in it."""
    match = re.search(r"````lesson\n(.*?)````", PAGE, re.S)
    assert match
    parsed = parse(match[1])
    assert [str(problem) for problem in parsed.problems] == []
    assert [f for f in check(Evidence(parsed, match[1])) if f.severity == "wrong"] == []


def test_every_field_and_mark_is_on_the_page() -> None:
    """A new word of the grammar needs its place in the docs."""
    words = [*FIELDS, *LANES, *KINDS, *REACHED, *SPANS, *AFTER]
    assert [word for word in words if word not in PAGE] == []
