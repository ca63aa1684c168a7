"""``gripwright proof``: check a lesson before it is published."""

from __future__ import annotations

import importlib
from dataclasses import asdict
from pathlib import Path

import click

from gripwright.cli.output import emit, reports_errors
from gripwright.files import shown
from gripwright.formats.captions import read_captions
from gripwright.lesson.text import lesson_error, parse, read_text
from gripwright.proof.registry import Evidence, Finding, check
from gripwright.proof.take import TakeEvidence

FILE = click.Path(path_type=Path)
MARKS = {"wrong": "✗", "doubtful": "?", "note": "·"}


@click.command("proof")
@click.argument("lesson", type=click.Path(path_type=Path))
@click.option("--take", type=FILE, help="Check it against this recording of it, too.")
@click.option("--cut", type=FILE, help="With --take: what this edited video leaves out.")
@click.option("--captions", type=FILE, help="Check the chords that these captions (.vtt) name.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@reports_errors
def command(
    lesson: Path, take: Path | None, cut: Path | None, captions: Path | None, as_json: bool
) -> int:
    """Check a LESSON file before anyone pays for it.

    Exit code 0: nothing found; 1: findings; 2: the file cannot be read as a lesson, or the take
    is of something else.
    """
    if cut is not None and take is None:
        raise click.UsageError("--cut needs --take: a cut is compared with the take it is made of.")
    text = read_text(lesson)
    parsed = parse(text)
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, shown(lesson))
    cues = read_captions(captions) if captions else ()
    findings = check(Evidence(parsed, text, _listened(lesson, take, cut), cues))
    if as_json:
        emit({"findings": [asdict(finding) for finding in findings]})
    else:
        click.echo(told(findings, shown(lesson)))
    return 1 if findings else 0


def _listened(lesson: Path, take: Path | None, cut: Path | None) -> TakeEvidence | None:
    """Listen to a take; what that needs is loaded only then, so that a plain proof starts fast."""
    if take is None:
        return None
    heard = importlib.import_module("gripwright.proof.listen").listen(lesson, take, cut)
    assert isinstance(heard, TakeEvidence)
    return heard


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
