"""The command: the contract, findings, wrong folders, the whole pack."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from gripwright.cli.build import command
from gripwright.pack.build import build
from gripwright.pack.registry import STAGES
from json_shape import faults
from packing import TEXT

LIGHT = tuple(stage for stage in STAGES if stage.name in ("chapters", "description"))


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


def test_an_empty_folder_name_is_wrong_use(tmp_path: Path) -> None:
    """An unset variable in a script does not build over the current folder."""
    result = CliRunner().invoke(command, [str(tmp_path / "no.md"), "-o", ""])
    assert result.exit_code == 2
    assert "the name is empty" in result.output


def test_a_missing_lesson_is_told(tmp_path: Path) -> None:
    """A path that is not there: exit 2."""
    result = CliRunner().invoke(command, [str(tmp_path / "no.md"), "-o", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert "no.md" in result.stderr


@pytest.mark.parametrize(
    "option", [("--slow", "10"), ("--loudness", "3"), ("--loudness", "NaN"), ("--jobs", "0")]
)
def test_settings_have_bounds(tmp_path: Path, option: tuple[str, str]) -> None:
    """A setting outside its bounds is refused by name."""
    result = run(tmp_path, TEXT, *option)
    assert result.exit_code == 2
    assert option[0] in result.output


def test_a_whole_build_answers_by_its_schema(tmp_path: Path) -> None:
    """With --json the answer names the pack, its files and what was made; again, nothing is."""
    text = TEXT.replace("order: Landing, Open Water, Landing", "order: Open Water")
    first = answer(run(tmp_path, text, "--json"))
    assert faults(first, "build") == [], first
    out = tmp_path / "out"
    assert {row["path"] for row in first["files"]} >= {
        "handout-a4.pdf", "handout-letter.pdf", "score.musicxml", "score.mid", "play-full.flac",
        "play-full.mp3", "play-slow.flac", "play-slow.mp3", "overlay.mp4", "practice.html",
        "chapters.vtt", "description.txt", "timeline.json",
    }  # fmt: skip
    assert all((out / row["path"]).stat().st_size == row["bytes"] for row in first["files"])
    assert (out / first["zip"]).exists()
    again = answer(run(tmp_path, text, "--json"))
    assert again["made"] == []
    assert again["files"] == first["files"]


def test_wrong_things_are_built_when_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """--anyway builds, and still tells the finding."""
    monkeypatch.setattr(build, "__kwdefaults__", build.__kwdefaults__ | {"stages": LIGHT})
    found = answer(run(tmp_path, WRONG, "--anyway", "--json"))
    assert found["pack"]
    assert [finding["severity"] for finding in found["findings"]].count("wrong") >= 1


def test_people_are_told_in_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without --json the command says where the pack is, what was made and what was kept."""
    monkeypatch.setattr(build, "__kwdefaults__", build.__kwdefaults__ | {"stages": LIGHT})
    first = run(tmp_path, TEXT)
    assert first.exit_code == 0
    assert "out: 2 files" in first.stdout and "made: chapters, description" in first.stdout
    assert "unchanged: chapters, description" in run(tmp_path, TEXT).stdout


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_closed_terminal_cleans_up_as_ctrl_c_does(tmp_path: Path, number: int) -> None:
    """While workers run, TERM or HUP ends the build with 130 and leaves nothing half made."""
    lesson = tmp_path / "lesson.md"
    lesson.write_text(TEXT, encoding="utf-8")
    code = "from gripwright.cli.main import main; main()"
    words = ["build", str(lesson), "-o", str(tmp_path / "out"), "--cache", str(tmp_path / "cache")]
    running = subprocess.Popen([sys.executable, "-c", code, *words], stderr=subprocess.DEVNULL)
    while running.poll() is None and not list(tmp_path.glob("cache/half-*")):
        time.sleep(0.02)
    running.send_signal(number)
    assert running.wait(30) == 130
    assert sorted(path.name for path in tmp_path.iterdir()) == ["cache", "lesson.md"]
    assert not list(tmp_path.glob("cache/half-*"))
