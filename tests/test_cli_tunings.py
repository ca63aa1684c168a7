"""``gripwright tunings`` from outside."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import json_shape
from gripwright.cli.tunings import command

LESSON = """---
title: Low
tempo: 90
---

```part A
| D | 320003=G | Em7 / A7 / |
```
"""


def run(*args: object) -> Result:
    """Run the command."""
    return CliRunner().invoke(command, [str(arg) for arg in args])


@pytest.fixture
def lesson(tmp_path: Path) -> Path:
    """Return a small lesson with one grip of its own."""
    path = tmp_path / "low.md"
    path.write_text(LESSON, encoding="utf-8")
    return path


def test_a_lesson_is_tried_in_every_tuning(lesson: Path) -> None:
    """As published: the best first, each with what it reaches."""
    answer = json.loads(run(lesson, "--json").stdout)
    assert json_shape.faults(answer, "tunings") == []
    assert answer["lowest"] == ["E2", "G2", "A2"]
    missing = [len(fit["unreached"]) for fit in answer["tunings"]]
    assert missing == sorted(missing) and len(missing) > 12
    assert all(fit["of"] == 4 for fit in answer["tunings"])


def test_a_given_tuning_is_among_them(lesson: Path) -> None:
    """Named by its notes, with one grip a chord."""
    answer = json.loads(run(lesson, "--try", "C2 G2 D3 A3 E4 G4", "--json").stdout)
    (own,) = [fit for fit in answer["tunings"] if fit["tuning"] == "C2 G2 D3 A3 E4 G4"]
    assert len(own["grips"]) == 4


def test_shapes_are_kept_on_request(lesson: Path) -> None:
    """With a capo at 2 the kept shape sounds a whole tone up."""
    answer = json.loads(run(lesson, "--keep", "shapes", "--json").stdout)
    (capoed,) = [
        f for f in answer["tunings"] if f["capo"] == 2 and f["tuning"] == "E2 A2 D3 G3 B3 E4"
    ]
    assert capoed["sounds"] == [{"index": 1, "symbol": "A"}]
    assert capoed["grips"][1] == "320003"


def test_people_read_the_ten_best(lesson: Path) -> None:
    """The lowest notes first, then tunings by their notes."""
    lines = run(lesson).stdout.splitlines()
    assert lines[0] == "4 chords; the lowest notes needed: E2, G2, A2"
    assert any("as written" in line for line in lines)


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["--changes", "C", "--try", "D2 A2"], "4 to 8 strings"),
        (["--changes", "C", "--try", "G4 C4 E4 A4"], "4 strings"),
        (["--changes", "C", "--frets", "x"], "range of frets"),
        (["--changes", "C", "--hand", "nan"], "got nan"),
        (["gone.md"], "gone.md"),
    ],
)  # fmt: skip
def test_errors_are_clear(args: list[str], told: str) -> None:
    """Exit code 2 and what is wrong."""
    result = run(*args, "--json")
    assert result.exit_code == 2
    assert told in json.loads(result.stdout)["error"]["message"]
