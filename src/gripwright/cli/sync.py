"""``gripwright sync``: find where each event of a lesson falls in a take."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from gripwright.cli.output import emit, reports_errors
from gripwright.hearing.follow import follow
from gripwright.hearing.report import sync_answer, sync_text


@click.command()
@click.argument("lesson", type=click.Path(path_type=Path))
@click.argument("take", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@click.option("--keep", is_flag=True, help="Write the timing beside the lesson (.timing.json).")
@click.option(
    "--cut", type=click.Path(path_type=Path), help="Also find the pieces of TAKE in this cut."
)
@reports_errors
def command(lesson: Path, take: Path, as_json: bool, keep: bool, cut: Path | None) -> int:
    """Find where each event of LESSON falls in TAKE, a recording of it being played.

    Exit code 1 says that what was played departs from the chart.
    """
    followed = follow(lesson, take, keep=keep, cut=cut)
    answer: dict[str, Any] = sync_answer(followed)
    if as_json:
        emit(answer)
    else:
        click.echo(sync_text(followed))
    return 1 if answer["disagreements"] or answer["skipped"] or answer["repeated"] else 0
