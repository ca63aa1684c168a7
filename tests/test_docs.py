"""The docs cannot drift: links lead somewhere, examples are true, every command is there."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest

from gripwright.cli.main import COMMANDS
from gripwright.lesson.text import parse
from gripwright.proof.registry import Evidence, check

ROOT = Path(__file__).parents[1]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])
ANSWERS = (
    "name", "explain", "grips", "arrange", "tunings", "hear", "sync", "record", "proof", "build",
    "shelf", "error",
)  # fmt: skip


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_file(page: Path) -> None:
    """A relative link in a page names a file that is there."""
    links = re.findall(
        r"\]\(([^)#\s]+)\)", re.sub(r"```.*?```", "", page.read_text("utf-8"), flags=re.DOTALL)
    )
    missing = [link for link in links if "://" not in link and not (page.parent / link).exists()]
    assert missing == []


def test_the_readme_is_short_and_names_every_command() -> None:
    """At most 150 lines, the job first, each command in its table."""
    text = (ROOT / "README.md").read_text("utf-8")
    assert len(text.splitlines()) <= 150
    assert all(f"gripwright {name}" in text for name in COMMANDS)
    assert "make try" in text
    assert "make test" in text


def test_the_lesson_in_the_readme_is_a_lesson() -> None:
    """The example reads without a problem, and its labels agree with its notes."""
    text = (ROOT / "README.md").read_text("utf-8")
    example = re.search(r"````markdown\n(.*?)````", text, re.DOTALL)
    assert example
    parsed = parse(example[1])
    assert [str(problem) for problem in parsed.problems] == []
    assert [f for f in check(Evidence(parsed, example[1])) if f.severity == "wrong"] == []


@pytest.mark.parametrize("name", ANSWERS)
def test_every_answer_has_a_published_schema(name: str) -> None:
    """Each answer of the contract has its JSON Schema in the docs."""
    schema = json.loads((ROOT / "docs" / "schemas" / f"{name}.json").read_text("utf-8"))
    assert schema["type"] == "object" or "anyOf" in schema or "oneOf" in schema


def test_no_file_names_a_machine_or_a_registry() -> None:
    """Tracked files hold no path of a machine and no address of a package registry."""
    pattern = r"(^|[^a-zA-Z0-9_./])/(home|root|Users)/[a-z]|index[-]url|registry ?[=]"
    run = subprocess.run(
        ["git", "grep", "-nIE", pattern, "--", ".", ":!tests/test_docs.py", ":!*.lock"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if run.returncode > 1:
        pytest.fail(f"not a git checkout: {run.stderr}")
    assert run.stdout == ""
