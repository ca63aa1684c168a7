"""``gripwright proof``: check a lesson before it is published."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from gripwright.cli.output import emit, reports_errors
from gripwright.files import shown
from gripwright.lesson.text import lesson_error, parse, read_text
from gripwright.proof.registry import Evidence, Finding, check

MARKS = {"wrong": "✗", "doubtful": "?", "note": "·"}


@click.command("proof")
@click.argument("lesson", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@reports_errors
def command(lesson: Path, as_json: bool) -> int:
    """Check a LESSON file before anyone pays for it.

    Exit code 0: nothing found; 1: findings; 2: the file cannot be read as a lesson.
    """
    text = read_text(lesson)
    parsed = parse(text)
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, shown(lesson))
    findings = check(Evidence(parsed, text))
    if as_json:
        emit({"findings": [asdict(finding) for finding in findings]})
    else:
        click.echo(told(findings, shown(lesson)))
    return 1 if findings else 0


def told(findings: tuple[Finding, ...], name: str) -> str:
    """Return the findings for people, one a paragraph, and how many of each severity."""
    if not findings:
        return f"{name}: nothing found"
    lines = []
    for finding in findings:
        lines.append(
            f"{name}:{finding.line}:{finding.column}  {MARKS[finding.severity]} "
            f"{finding.severity}: {finding.message}"
        )
        if finding.suggestion:
            lines.append(f"    {finding.suggestion}")
    counts = {severity: sum(f.severity == severity for f in findings) for severity in MARKS}
    lines.append(", ".join(f"{count} {severity}" for severity, count in counts.items() if count))
    return "\n".join(lines)
