"""The command: the contract, findings, wrong folders, the whole pack."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from packing import TEXT

from gripwright.cli.build import command


def run(tmp_path: Path, text: str, *options: str) -> Result:
    """Run the command on a lesson."""
    lesson = tmp_path / "lesson.md"
    lesson.write_text(text, encoding="utf-8")
    return CliRunner().invoke(command, [str(lesson), "-o", str(tmp_path / "out"), *options])


def answer(result: Result) -> dict[str, Any]:
    """Return the JSON object that was printed."""
    found = json.loads(result.stdout)
    assert found["contract"] == 1
    return dict(found)


WRONG = TEXT.replace("Am7     5x555x", "Cmaj7   5x555x").replace("Am7", "Cmaj7")


def test_something_wrong_stops_it_and_nothing_is_written(tmp_path: Path) -> None:
    """A label that its notes contradict: exit 1, the finding with its place, no folder."""
    result = run(tmp_path, WRONG, "--json")
    assert result.exit_code == 1
    found = answer(result)
    assert found["pack"] is None
    assert found["findings"][0]["line"] == 14
    assert not (tmp_path / "out").exists()


def test_a_broken_lesson_is_told_with_its_place(tmp_path: Path) -> None:
    """A bar with too many beats: exit 2, line and column, no folder."""
    result = run(tmp_path, TEXT.replace("Am7 / E7(#9) /", "Am7 / / / / /"), "--json")
    assert result.exit_code == 2
    error = answer(result)["error"]
    assert error["code"] == "lesson"
    assert "line" in error["at"]
    assert not (tmp_path / "out").exists()


def test_a_folder_of_someone_else_is_refused(tmp_path: Path) -> None:
    """Exit 2 before anything is made, and the folder is as it was."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "diary.txt").write_text("mine")
    result = run(tmp_path, TEXT, "--json")
    assert result.exit_code == 2
    assert answer(result)["error"]["field"] == "out"
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["diary.txt"]


def test_a_missing_lesson_is_told(tmp_path: Path) -> None:
    """A path that is not there: exit 2."""
    result = CliRunner().invoke(command, [str(tmp_path / "no.md"), "-o", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert "no.md" in result.stderr


@pytest.mark.parametrize("option", [("--slow", "10"), ("--loudness", "3"), ("--jobs", "0")])
def test_settings_have_bounds(tmp_path: Path, option: tuple[str, str]) -> None:
    """A setting outside its bounds is refused by name."""
    result = run(tmp_path, TEXT, *option)
    assert result.exit_code == 2
    assert option[0] in result.output
