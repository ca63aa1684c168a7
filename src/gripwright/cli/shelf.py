"""``gripwright shelf``: the collection of lessons, and what it says of them."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from gripwright.cli.numbers import Whole
from gripwright.cli.output import emit, reports_errors
from gripwright.errors import GripwrightError, InputError
from gripwright.files import shown
from gripwright.lesson.text import lesson_error, parse, read_text
from gripwright.shelf.ahead import Novelty, Suggestion, ahead, novelty
from gripwright.shelf.facts import LessonFacts, facts_of
from gripwright.shelf.find import Found, find
from gripwright.shelf.report import Report, report
from gripwright.shelf.store import default_path, open_shelf
from gripwright.theory.symbol import parse_symbol

FILE = click.Path(path_type=Path)
SHOWN = 12
_HEADS = {
    "qualities": "Qualities", "tensions": "Tensions", "grips": "Grips", "shapes": "Shapes",
    "tops": "Top notes", "moves": "Moves", "remarks": "Devices", "keys": "Keys",
    "tunings": "Tunings",
}  # fmt: skip
_WHY = {"again": "Due again", "new": "New", "neglected": "Neglected"}


@click.group("shelf")
def command() -> None:
    """Keep every lesson on a shelf: where was this taught, what is favoured, what comes next.

    The shelf is one file that holds what the lessons say; the lessons stay where they are.
    """


def _options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that all have."""
    function = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")(
        function
    )
    return click.option(
        "--shelf", "place", type=FILE,
        help="The shelf's file.  [default: $GRIPWRIGHT_SHELF or the XDG data folder]",
    )(function)  # fmt: skip


def _place(place: Path | None) -> Path:
    return place or default_path(os.environ)


@command.command("add")
@click.argument("lessons", nargs=-1, required=True, type=FILE)
@_options
@reports_errors
def add(lessons: Sequence[Path], place: Path | None, as_json: bool) -> int:
    """Put LESSONS on the shelf, or bring those that are there up to date.

    A folder stands for all .md files in it. A file that is no lesson is told, and the rest go on
    (exit code 1).
    """
    done: dict[str, list[dict[str, str]]] = {"added": [], "updated": [], "unchanged": []}
    refused: list[dict[str, Any]] = []
    with open_shelf(_place(place), make=True) as shelf:
        for path in _files(lessons):
            try:
                facts = _facts(path)
            except GripwrightError as error:
                refused.append({"path": str(path), "error": error.as_dict()})
                continue
            done[shelf.put(facts)].append({"path": facts.path, "title": facts.title})
        size = shelf.size
    if as_json:
        emit({"shelf": str(_place(place)), "lessons": size, **done, "refused": refused})
    else:
        for word, rows in done.items():
            for one in rows:
                click.echo(f"{word:<10} {one['title']}  ({shown(Path(one['path']))})")
        for wrong in refused:
            message = wrong["error"]["message"].splitlines()[0]
            click.echo(f"refused    {wrong['path']}: {message}", err=True)
        click.echo(f"{_count(size, 'lesson')} on the shelf")
    return 1 if refused else 0


@command.command("drop")
@click.argument("lessons", nargs=-1, required=True, type=FILE)
@_options
@reports_errors
def drop(lessons: Sequence[Path], place: Path | None, as_json: bool) -> int:
    """Take LESSONS off the shelf; their files stay."""
    with open_shelf(_place(place)) as shelf:
        gone = [path for path in lessons if shelf.drop(path)]
        size = shelf.size
    absent = [path for path in lessons if path not in gone]
    if as_json:
        told = {"dropped": [str(path) for path in gone], "absent": [str(path) for path in absent]}
        emit({"shelf": str(_place(place)), "lessons": size, **told})
    else:
        for path in gone:
            click.echo(f"dropped    {shown(path)}")
        for path in absent:
            click.echo(f"not there  {path}", err=True)
        click.echo(f"{_count(size, 'lesson')} on the shelf")
    return 1 if absent else 0


@command.command("find")
@click.argument("query")
@click.option("--moved", is_flag=True, help="A grip's shape at any fret; a symbol on any root.")
@_options
@reports_errors
def find_command(query: str, moved: bool, place: Path | None, as_json: bool) -> int:
    """Find where QUERY was taught.

    QUERY is a grip (x35453), a symbol (Cmaj7), numerals in a row ("ii7 V7 Imaj7"), a device that
    explain names (tritone-substitute), or words of a title.
    """
    with open_shelf(_place(place)) as shelf:
        kind, found = find(shelf, query, moved=moved)
    if as_json:
        rows = [asdict(one) | {"missing": one.is_missing} for one in found]
        emit({"query": query, "kind": kind, "found": rows})
    else:
        click.echo(f"{query}, as {_article(kind)}: {_count(len(found), 'place') or 'nowhere'}")
        for line in _columns([_found(one) for one in found]):
            click.echo(line)
    return 0


@command.command("report")
@_options
@reports_errors
def report_command(place: Path | None, as_json: bool) -> int:
    """Tell what the lessons favour: qualities, tensions, grips, moves, devices."""
    with open_shelf(_place(place)) as shelf:
        told = report(shelf)
    if as_json:
        habits = {name: [asdict(one) for one in own] for name, own in told.habits.items()}
        emit({"lessons": told.lessons, "chords": told.chords, **habits})
    else:
        click.echo("\n".join(_page(told)))
    return 0


@command.command("next")
@click.argument("lesson", required=False, type=FILE)
@click.option("--level", type=Whole(1, 5), help="Suggest nothing above this level, 1 to 5.")
@_options
@reports_errors
def next_command(lesson: Path | None, level: int | None, place: Path | None, as_json: bool) -> int:
    """Suggest what the next lesson could teach; with a LESSON, what is new in it."""
    with open_shelf(_place(place)) as shelf:
        brings = novelty(shelf, _facts(lesson)) if lesson else None
        given = () if lesson else ahead(shelf, level)
    if as_json:
        emit({"suggestions": [asdict(one) for one in given],
              "lesson": asdict(brings) if brings else None})  # fmt: skip
    elif brings:
        click.echo("\n".join(_brings(brings)))
    else:
        click.echo("\n".join(_suggestions(given)))
    return 0


def _files(given: Sequence[Path]) -> list[Path]:
    found: list[Path] = []
    for path in given:
        if not path.is_dir():
            found.append(path)
            continue
        inside = sorted(one for one in path.glob("*.md") if one.is_file())
        if not inside:
            raise InputError(
                f"{path} holds no .md file", field="lessons", at=str(path),
                remedy="give a folder with lessons in it",
            )  # fmt: skip
        found += inside
    return found


def _facts(path: Path) -> LessonFacts:
    text = read_text(path)
    parsed = parse(text)
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, shown(path))
    return facts_of(path, text, parsed)


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'s' * (number != 1)}" if number else f"no {word}"


def _article(kind: str) -> str:
    return "numerals" if kind == "numerals" else f"a {kind}"


def _found(one: Found) -> tuple[str, ...]:
    file = shown(Path(one.path))
    gone = "the file is gone" if one.is_missing else ""
    if not one.part:
        return file, one.title, one.key, gone
    at = f"{one.part}, bar {one.bar}"
    return f"{file}:{one.line}", at, one.symbol, one.grip, one.numeral, gone


def _columns(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        (
            "  "
            + "  ".join(f"{cell:<{wide}}" for cell, wide in zip(row, widths, strict=True) if wide)
        ).rstrip()
        for row in rows
    ]


def _page(told: Report) -> list[str]:
    lines = [f"{_count(told.lessons, 'lesson')}, {_count(told.chords, 'written chord')}"]
    for name, head in _HEADS.items():
        own = told.habits[name][:SHOWN]
        if own:
            lines += [
                "",
                f"{head:<24}lessons" + ("" if name in ("keys", "tunings") else "  chords"),
            ]
            lines += [
                f"  {_said(name, one.what):<22}{one.lessons:>7}"
                + (f"{one.chords:>8}" if one.chords else "")
                for one in own
            ]
    return lines


def _said(name: str, what: str) -> str:
    if name == "qualities":
        return parse_symbol(f"C{what}").pretty
    return what.replace("-", " ") if name == "remarks" else what


def _suggestions(given: Sequence[Suggestion]) -> list[str]:
    if not given:
        return ["nothing is missing, and nothing is due"]
    lines: list[str] = []
    for why, head in _WHY.items():
        own = [one for one in given if one.why == why]
        if own:
            lines += [*([""] if lines else []), head, *(f"  {one.text}" for one in own[:SHOWN])]
            if len(own) > SHOWN:
                lines.append(f"  and {len(own) - SHOWN} more")
    return lines


def _brings(brings: Novelty) -> list[str]:
    lines = []
    for name, new in brings.new.items():
        told = [_said("remarks" if name == "devices" else name, what) for what in new]
        lines.append(f"{name} new to the shelf: {', '.join(told) or 'none'}")
        lines.append(f"  met before: {len(brings.again[name])}")
    return lines
