"""``gripwright record``: work on a record, two bars at a time."""

from __future__ import annotations

import re
from pathlib import Path

import click

from gripwright.cli.numbers import Number, Whole
from gripwright.cli.output import emit, reports_errors
from gripwright.dsp.sound_file import write_flac, write_wav
from gripwright.errors import InputError
from gripwright.files import shown
from gripwright.hearing.record import (
    MAX_SPEED,
    MAX_TIMES,
    MIN_SPEED,
    Band,
    band_of,
    practice_loop,
    read_span,
    sounds_here,
    with_grip,
)
from gripwright.hearing.report import here_answer, here_text
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import STANDARD, make_neck, parse_tuning

_CLOCK = re.compile(r"(?:(\d+):)?(\d+(?:\.\d+)?)", re.ASCII)
MAX_CENTS = 1200


def seconds_of(text: str) -> float:
    """Read a time in seconds or minutes and seconds; raises InputError.

    >>> seconds_of("1:02.5")
    62.5
    """
    match = _CLOCK.fullmatch(text.strip())
    if not match:
        raise InputError(
            f"{text!r} is not a time", field="span", remedy="write seconds, or 1:02.5 for minutes"
        )
    return 60 * int(match[1] or 0) + float(match[2])


def _check_out(out: Path, record: Path, *, replace: bool) -> None:
    """Raise InputError for a target of another kind, for the record itself, for a file there."""
    if out.suffix.lower() not in (".wav", ".flac"):
        raise InputError(
            f"{shown(out)} is no wav or flac", field="out", remedy="name it .wav or .flac"
        )
    if not out.exists():
        return
    if record.exists() and out.samefile(record):
        raise InputError(
            f"{shown(out)} is the record itself", field="out", at=str(out),
            remedy="give the loop a name of its own",
        )  # fmt: skip
    if not replace or not out.is_file():
        raise InputError(
            f"{shown(out)} is there already", field="out", at=str(out),
            remedy="give another name, or --replace to write over it",
        )  # fmt: skip


@click.command()
@click.argument("record", type=click.Path(path_type=Path))
@click.option("--from", "start", default="0", help="Where the span starts, 62.5 or 1:02.5.")
@click.option("--to", "end", required=True, help="Where it ends.")
@click.option(
    "--speed", type=Number(100 * MIN_SPEED, 100 * MAX_SPEED), default=100.0,
    help="30 to 100 % at the same pitch.",
)  # fmt: skip
@click.option(
    "--cents", type=Number(-MAX_CENTS, MAX_CENTS), default=0.0, help="Raise (or lower) the pitch."
)
@click.option(
    "--band", type=click.Choice(["whole", "bass", "centre", "sides"]), default="whole",
    help="Which part of the sound.",
)  # fmt: skip
@click.option("--times", type=Whole(1, MAX_TIMES), default=1, help="How often it is repeated.")
@click.option("--grip", help="Strum this grip underneath for comparison.")
@click.option("--tuning", help='Open strings, bass side first: "E2 A2 D3 G3 B3 E4".')
@click.option("--capo", type=Whole(0), default=0, help="Fret of the capo.")
@click.option("-o", "--out", type=click.Path(path_type=Path), help="Write the loop (wav or flac).")
@click.option("--replace", is_flag=True, help="Let -o write over a file that is there.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@reports_errors
def command(
    record: Path, start: str, end: str, speed: float, cents: float, band: Band, times: int,
    grip: str | None, tuning: str | None, capo: int, out: Path | None, replace: bool,
    as_json: bool,
) -> int:  # fmt: skip
    """Say what sounds in a span of RECORD; loop, slow and retune it with -o.

    The record stays on this machine: nothing of it is packed or sent.
    """
    if out is not None:
        _check_out(out, record, replace=replace)
    neck = make_neck(parse_tuning(tuning) if tuning is not None else STANDARD, capo)
    shape = parse_grip(grip, len(neck)) if grip is not None else None
    span, rate = read_span(record, seconds_of(start), seconds_of(end))
    part = band_of(span, rate, band)
    here = sounds_here(part, rate, neck)
    if out is not None:
        under = part
        if shape is not None:
            under = with_grip(part, rate, shape, neck, cents=here.tuning_cents)
        loop = practice_loop(under, rate, speed=speed / 100, cents=cents, times=times)
        (write_flac if out.suffix.lower() == ".flac" else write_wav)(out, loop, rate)
    if as_json:
        emit(here_answer(here, out))
    else:
        click.echo(here_text(here, out))
    return 0
