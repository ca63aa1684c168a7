"""``gripwright hear``: listen to a take without a chart."""

from __future__ import annotations

from pathlib import Path

import click

from gripwright.cli.asking import write_whole
from gripwright.cli.output import emit, reports_errors
from gripwright.errors import InputError
from gripwright.hearing.draft import draft_lesson
from gripwright.hearing.hear import hear
from gripwright.hearing.report import hear_answer, hear_text
from gripwright.hearing.sound import read_take
from gripwright.lesson.write import write_lesson
from gripwright.neck.tuning import STANDARD, make_neck, parse_tuning


@click.command()
@click.argument("take", type=click.Path(path_type=Path))
@click.option("--tuning", help='Open strings, bass side first: "E2 A2 D3 G3 B3 E4".')
@click.option("--capo", type=int, default=0, help="Fret of the capo.")
@click.option("-o", "--draft", type=click.Path(path_type=Path), help="Write a draft lesson here.")
@click.option("--replace", is_flag=True, help="Let the draft take the place of a file.")
@click.option("--plain", is_flag=True, help="Hear without the learned model.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@reports_errors
def command(
    take: Path, tuning: str | None, capo: int, draft: Path | None, replace: bool, plain: bool,
    as_json: bool,
) -> int:  # fmt: skip
    """Listen to TAKE, a recording of a guitar: tuning, beats, key, chords and grips."""
    if draft is not None:
        _check_draft(draft, take, replace)
    neck = make_neck(parse_tuning(tuning) if tuning else STANDARD, capo)
    heard = hear(read_take(take), neck, plain=plain)
    if draft is not None:
        write_whole(draft, write_lesson(draft_lesson(heard, take.stem, neck)))
    if as_json:
        emit(hear_answer(heard))
    else:
        click.echo(hear_text(heard))
    return 0


def _check_draft(draft: Path, take: Path, replace: bool) -> None:
    """Raise InputError where a draft would take the place of the take, or unasked of a file."""
    if draft.exists() and take.exists() and draft.samefile(take):
        raise InputError(
            f"the draft would be written over the take {take.name}", field="draft",
            at=str(draft), remedy="give the draft another name",
        )  # fmt: skip
    if draft.exists() and not replace:
        raise InputError(
            f"{draft.name} is there already", field="draft", at=str(draft),
            remedy="give the draft another name, or add --replace to lose what it holds",
        )  # fmt: skip
