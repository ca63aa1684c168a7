"""``gripwright name``: the readings of a grip."""

from __future__ import annotations

import re
import sys
from functools import lru_cache
from typing import Any, NamedTuple

import click

from gripwright.cli.numbers import Whole
from gripwright.cli.output import batch, emit, reports_errors
from gripwright.errors import GripError, InputError, SymbolError
from gripwright.harmony.reading import Reading, readings
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.tuning import STANDARD, Neck, make_neck, parse_tuning
from gripwright.theory.pitch import pitch_name
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import ChordSymbol, parse_symbol

USUAL = STANDARD.text
TOLD = 0.03  # readings lighter than this are left to --json
FIELDS = {
    "grip": str, "tuning": str, "capo": int, "key": str, "before": str, "after": str,
    "strict": bool,
}  # fmt: skip


_DASH_FIRST = re.compile(r"-[0-9xX][0-9xX-]+")


class _Named(click.Command):
    """The command; a grip that starts with a dash is not taken for an option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the arguments; raises GripError for a grip with a dash before its first fret."""
        for before, given in zip(["", *args], args, strict=False):
            if _DASH_FIRST.fullmatch(given) and not before.startswith("--"):
                raise GripError(
                    f"{given!r} starts with a dash, a grip with a fret",
                    field="grip", at=0,
                    remedy="start with the string on the bass side, x if it is not played:"
                    f" {given[1:]} or x{given}",
                )  # fmt: skip
        return super().parse_args(ctx, args)


@click.command(cls=_Named)
@click.argument("grip", required=False)
@click.option("--tuning", default=USUAL, show_default=True, help="Open strings, bass first.")
@click.option("--capo", type=Whole(0), default=0, show_default=True, help="Fret of a full capo.")
@click.option("--key", help='Key that the grip stands in, such as "Ab major".')
@click.option("--before", help="Chord symbol before it.")
@click.option("--after", help="Chord symbol after it.")
@click.option("--strict", is_flag=True, help="Keep double accidentals.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@click.option("--jsonl", "as_lines", is_flag=True, help="Answer JSON requests from stdin.")
@reports_errors
def command(grip: str | None, *, as_json: bool, as_lines: bool, **options: Any) -> int:
    """Name GRIP: its readings, what each note is, and why.

    A grip is one fret a string, the bass side first: x35453, or x-10-12-11-12-x where a fret
    has two digits; x is a string that is not played, 0 an open one.
    """
    if as_lines:
        return batch(sys.stdin.buffer, answer)
    if grip is None:
        raise click.UsageError("name what? Give a grip such as x35453, or --jsonl.")
    if as_json:
        emit(answer({"grip": grip, **options}))
        return 0
    click.echo("\n".join(_page(asked({"grip": grip, **options}))))
    return 0


def answer(request: dict[str, Any]) -> dict[str, Any]:
    """Return the answer to a request whose fields are the names of the options.

    Raises InputError for a field that is unknown or of the wrong type, and what the grip,
    tuning, capo, key and symbols raise.
    """
    return told(asked(request))


class Named(NamedTuple):
    """A grip on its neck, the tuning as it is written, and the readings, best first."""

    grip: Grip
    neck: Neck
    tuning: str
    readings: tuple[Reading, ...]


def told(named: Named) -> dict[str, Any]:
    """Return the readings of a grip as the command's contract writes them."""
    told_readings = [_as_dict(reading) for reading in named.readings]
    return {
        "grip": named.grip.text,
        "tuning": named.tuning,
        "capo": named.neck.capo,
        "notes": [tone["note"] for tone in told_readings[0]["tones"]],
        "midi": [tone.midi for tone in named.readings[0].tones],
        "readings": told_readings,
    }


def asked(request: dict[str, Any]) -> Named:
    """Return the grip and its readings that a request asks for; raises InputError."""
    for field, value in request.items():
        _check(field, value)
    if request.get("grip") is None:
        raise InputError("a request needs a grip", field="grip", remedy='such as "x35453"')
    tuning = request.get("tuning")
    neck, written = _neck(USUAL if tuning is None else tuning, request.get("capo") or 0)
    grip = _grip(request["grip"], len(neck))
    key = request.get("key")
    given = readings(
        grip,
        neck,
        key=parse_key(key) if key is not None else None,
        before=_symbol("before", request),
        after=_symbol("after", request),
        strict=bool(request.get("strict")),
    )
    return Named(grip, neck, written, given)


def _symbol(field: str, request: dict[str, Any]) -> ChordSymbol | None:
    """Read a neighbour's symbol; an error names the field that holds it."""
    text = request.get(field)
    if text is None:
        return None
    try:
        return parse_symbol(text)
    except SymbolError as error:
        raise SymbolError(
            error.message, field=field, at=error.at, remedy=error.remedy
        ) from error  # fmt: skip


def _grip(text: str, strings: int) -> Grip:
    """Read a grip; who gives a chord name instead is told where to ask."""
    try:
        return parse_grip(text, strings)
    except GripError as error:
        try:
            symbol = parse_symbol(text)
        except SymbolError:
            raise error from None
        raise GripError(
            f"{text!r} is a chord name, not a grip", field="grip", at=0,
            remedy=f"for its grips ask: gripwright grips {symbol.text!r}",
        ) from error  # fmt: skip


def _check(field: str, value: Any) -> None:
    kind = FIELDS.get(field)
    if kind is None:
        raise InputError(
            f"there is no field {field!r}", field=field, remedy=f"use {', '.join(FIELDS)}"
        )
    if value is not None and type(value) is not kind:
        word = {str: "text", int: "a whole number", bool: "true or false"}[kind]
        raise InputError(
            f"{field} must be {word}, got {value!r}", field=field, remedy=f"give {word}"
        )


@lru_cache(maxsize=256)
def _neck(tuning: str, capo: int) -> tuple[Neck, str]:
    """Return a neck and how its tuning is written."""
    parsed = parse_tuning(tuning)
    return make_neck(parsed, capo), parsed.text


def _as_dict(reading: Reading) -> dict[str, Any]:
    """Return a reading as published; a cluster also tells its intervals above the bass."""
    return {
        **({} if reading.symbol else {"intervals": _intervals(reading)}),
        "symbol": reading.text or None,
        "quality": reading.quality,
        "harte": reading.harte,
        "root": reading.root.name,
        "bass": reading.bass.name,
        "tones": [
            {
                "string": tone.string, "fret": tone.fret, "note": pitch_name(tone.midi, tone.note),
                "degree": tone.degree.text,
            }
            for tone in reading.tones
        ],
        "omits": [degree.text for degree in reading.omits],
        "why": reading.why,
        "also_heard_as": reading.also,
        "weight": reading.weight,
    }  # fmt: skip


def _intervals(reading: Reading) -> list[str]:
    degrees = {tone.degree for tone in reading.tones}
    return [degree.text for degree in sorted(degrees, key=lambda degree: degree.pc)]


def _page(named: Named) -> list[str]:
    """Return what people read, line by line."""
    (best, *others), capo = named.readings, named.neck.capo
    where = f"{named.grip.text} in {named.tuning}" + (f", capo {capo}" if capo else "")
    head = f"{best.symbol.pretty}, {best.weight:.0%}" if best.symbol else "a cluster"
    lines = [where, "", head]
    for tone in best.tones:
        place = f"string {tone.string}, " + (f"fret {tone.fret}" if tone.fret else "open")
        lines.append(f"  {place:<18}{tone.pitch.pretty:<6}{tone.degree.pretty}")
    if best.omits:
        lines.append(f"  left out: {' '.join(degree.pretty for degree in best.omits)}")
    lines += [f"  {sentence}" for sentence in best.why]
    argued = [reading for reading in others if reading.weight >= TOLD]
    if rest := [name for name in best.also if name not in {reading.text for reading in argued}]:
        lines.append(f"  also heard as {', '.join(parse_symbol(name).pretty for name in rest)}")
    for reading in argued:
        lines += ["", f"or {parse_symbol(reading.text).pretty}, {reading.weight:.0%}"]
        lines += [f"  {sentence}" for sentence in reading.why]
    return lines
