"""``gripwright proof``: exit codes, words and the JSON contract."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gripwright.cli.main import root

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "demo" / "lamps-along-the-weir.md"
WRONG = "---\ntitle: T\n---\n```part A\n| x02220=Am |\n```\n"


def run(*args: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(root, ["proof", *args])


def file(tmp_path: Path, text: str) -> str:
    """Return the path of a lesson with that text."""
    path = tmp_path / "lesson.md"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_clean_lesson_exits_0() -> None:
    """And says so."""
    result = run(str(DEMO))
    assert (result.exit_code, "nothing found" in result.output) == (0, True)


def test_findings_exit_1_with_their_place(tmp_path: Path) -> None:
    """Line and column, rule by rule, and a count."""
    result = run(file(tmp_path, WRONG))
    assert result.exit_code == 1
    assert "lesson.md:5:3" in result.output
    assert result.output.endswith("1 wrong\n")


def test_json_keeps_the_contract(tmp_path: Path) -> None:
    """The keys of the published schema, no more and no fewer."""
    answer = json.loads(run(file(tmp_path, WRONG), "--json").output)
    schema = json.loads((ROOT / "docs" / "schemas" / "proof.json").read_text(encoding="utf-8"))
    assert set(answer) == set(schema["required"])
    assert answer["contract"] == 1
    (found,) = answer["findings"]
    assert set(found) == set(schema["properties"]["findings"]["items"]["required"])
    assert found["severity"] == "wrong"


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "lesson"),
        (b"\xff\xfe\x00", "lesson"),
        (b"---\ntitle: T\n---\n```part A\n| C / / / / |\n```\n", "lesson"),
        (b"#" * 3_000_000, "lesson"),
    ],
)
def test_bad_files_exit_2_with_an_error_object(tmp_path: Path, data: bytes, code: str) -> None:
    """One JSON object with code, message, place and remedy."""
    path = tmp_path / "bad.md"
    path.write_bytes(data)
    result = run(str(path), "--json")
    error = json.loads(result.output)["error"]
    assert result.exit_code == 2
    assert error["code"] == code
    assert error["message"] and error["at"]


def test_a_missing_file_exits_2() -> None:
    """It is named."""
    result = run("no-such-lesson.md")
    assert result.exit_code == 2
    assert "no-such-lesson.md" in result.output
