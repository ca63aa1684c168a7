"""``gripwright build``: the pack of a lesson."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from gripwright.cli.numbers import Number
from gripwright.cli.output import emit, reports_errors
from gripwright.lesson.text import lesson_error, parse, read_text
from gripwright.pack.build import Pack, build
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.chosen import Chosen, settled
from gripwright.pack.folder import check_target
from gripwright.pack.gate import findings_of
from gripwright.pack.run import Step, Told
from gripwright.proof.registry import Finding
from gripwright.screen.film_layout import (
    CORNERS,
    DEFAULT_CORNER,
    MAX_PLATE,
    MIN_PLATE,
    UPRIGHT_PLATE,
    WIDE_PLATE,
)


def _named(ctx: click.Context, param: click.Parameter, value: str) -> Path:
    """Return the folder of the pack; an empty name is wrong use."""
    if not value.strip():
        raise click.BadParameter("the name is empty: name a folder for the pack", ctx, param)
    return Path(value)


@click.command("build")
@click.argument("lesson", type=click.Path(path_type=Path))
@click.option(
    "-o",
    "--out",
    required=True,
    type=click.Path(),
    callback=_named,
    help="Folder of the pack: new, empty, or a pack of ours.",
)
@click.option(
    "--take",
    type=click.Path(path_type=Path),
    help="A recording of the lesson being played: adds video and slow versions that follow it.",
)
@click.option(
    "--cut",
    type=click.Path(path_type=Path),
    help="With --take: the published cut that holds pieces of it; all that follows the take "
    "follows the cut.",
)
@click.option(
    "--film/--no-film",
    default=None,
    help="With --take of a video: also its own picture with the grips laid on it.  "
    "[default: where there is a picture]",
)
@click.option(
    "--corner",
    type=click.Choice(CORNERS),
    help=f"Corner of the grips in the film.  [default: {DEFAULT_CORNER}]",
)
@click.option(
    "--plate-size",
    type=Number(MIN_PLATE, MAX_PLATE),
    help="Height of the grips' plate in the film, as a share of the picture's.  "
    f"[default: {WIDE_PLATE}, upright {UPRIGHT_PLATE}]",
)
@click.option(
    "--background",
    metavar="COLOUR|PICTURE",
    help="What lies under the overlays: a colour (navy, #1d2433) or a png or jpeg file.",
)
@click.option("--alpha", is_flag=True, help="With --take: also clips with alpha (large).")
@click.option("--anyway", is_flag=True, help="Build even if the proof finds something wrong.")
@click.option("--left-handed", is_flag=True, help="Mirror the strings of every diagram.")
@click.option(
    "--slow",
    default=70,
    show_default=True,
    type=click.IntRange(40, 95),
    help="Tempo of the slow play-through, in percent.",
)
@click.option(
    "--loudness",
    default=-16.0,
    show_default=True,
    type=Number(-31, -9),
    help="Loudness of the play-throughs in LUFS.",
)
@click.option(
    "--cache",
    "cache_folder",
    type=click.Path(path_type=Path),
    help="Cache folder.  [default: $GRIPWRIGHT_CACHE or the XDG cache folder]",
)
@click.option(
    "--jobs",
    default=2,
    show_default=True,
    type=click.IntRange(1, 64),
    help="How many heavy stages run at once.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@reports_errors
def command(
    lesson: Path, out: Path, *, anyway: bool, cache_folder: Path | None, jobs: int,
    as_json: bool, slow: int, loudness: float, **chosen: Any,
) -> int:  # fmt: skip
    """Build the pack of a LESSON: handout, diagrams, score, sound, video, practice page.

    What did not change since an earlier build comes from the cache. An older pack in the same
    folder stays whole until the new one is. Exit code 0: built; 1: the proof found something
    wrong and nothing was built; 2: the lesson or the folder cannot be used.
    """
    check_target(out)
    text = read_text(lesson)
    parsed = parse(text)
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, lesson.name)
    findings = findings_of(parsed, text)
    wrong = [finding for finding in findings if finding.severity == "wrong"]
    if wrong and not anyway:
        _refuse(wrong, lesson.name, as_json)
        return 1
    cache = Cache(cache_folder or default_folder(os.environ))
    wanted = settled(
        Chosen(slow=Fraction(slow, 100), loudness_lufs=loudness, **chosen),
        parsed.lesson, lesson, cache,
    )  # fmt: skip
    with _ended_like_ctrl_c(), _progress(shown=not as_json) as told:
        pack = build(
            parsed.lesson, out, cache, settings=wanted.settings, take=wanted.recording,
            background=wanted.picture, processes=jobs, told=told,
        )  # fmt: skip
    _tell(pack, findings, as_json)
    return 0


def _refuse(wrong: list[Finding], name: str, as_json: bool) -> None:
    if as_json:
        emit({"pack": None, "findings": [asdict(finding) for finding in wrong]})
        return
    for finding in wrong:
        click.echo(f"{name}:{finding}")
    click.echo("Nothing was built. Put this right, or build it with --anyway.", err=True)


def _tell(pack: Pack, findings: tuple[Finding, ...], as_json: bool) -> None:
    if as_json:
        manifest = pack.manifest
        emit(
            {
                "pack": str(pack.folder), "zip": manifest.zip,
                "files": [asdict(product) for product in manifest.files],
                "made": pack.made, "kept": pack.kept,
                "edited": [asdict(one) for one in pack.edited],
                "findings": [asdict(finding) for finding in findings],
            }
        )  # fmt: skip
        return
    files = pack.manifest.files
    size = sum(product.bytes for product in files) / 1e6
    click.echo(f"{pack.folder}: {len(files)} files, {size:.1f} MB, and {pack.manifest.zip}")
    click.echo(f"made: {', '.join(pack.made) or 'nothing'}")
    if pack.kept:
        click.echo(f"unchanged: {', '.join(pack.kept)}")
    for one in pack.edited:
        click.echo(f"{one.path} was edited by hand: your version is kept as {one.kept_as}")
    if findings:
        click.echo(f"the proof has {len(findings)} more to say: gripwright proof")


@contextmanager
def _ended_like_ctrl_c() -> Iterator[None]:
    """Let TERM and HUP (a closed terminal) clean up and end the workers as Ctrl-C does."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    signals = [getattr(signal, n) for n in ("SIGTERM", "SIGHUP") if hasattr(signal, n)]

    def stop(number: int, frame: object) -> None:
        for one in signals:
            signal.signal(one, signal.SIG_IGN)
        raise KeyboardInterrupt

    before = [signal.signal(one, stop) for one in signals]
    try:
        yield
    finally:
        for one, handler in zip(signals, before, strict=True):
            signal.signal(one, handler)


@contextmanager
def _progress(shown: bool) -> Iterator[Told]:
    """Give what shows the steps of a build, a bar on a terminal and nothing elsewhere.

    The bar is redrawn as steps come, not by a thread of its own, so that workers may be forked.
    """
    console = Console(stderr=True)
    columns = (
        TextColumn("{task.description:24}"), BarColumn(), TimeElapsedColumn(),
    )  # fmt: skip
    with Progress(
        *columns, console=console, auto_refresh=False, transient=True,
        disable=not (shown and console.is_terminal),
    ) as bar:  # fmt: skip
        task = bar.add_task("", total=1.0)

        def told(step: Step) -> None:
            bar.update(task, completed=step.done, description=step.stage)
            bar.refresh()

        yield told
