"""``gripwright grips``: the playable grips for a symbol, easiest first."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import Any

import click

from gripwright.cli.asking import (
    base_limits,
    check_fields,
    edge_of,
    player_of,
    player_options,
    two_numbers,
)
from gripwright.cli.grips_told import Answer, chosen, grip_answer, page, rules
from gripwright.cli.numbers import Whole
from gripwright.cli.output import batch, emit, reports_errors
from gripwright.errors import InputError, SearchError
from gripwright.neck.tuning import Neck
from gripwright.theory.interval import degrees
from gripwright.theory.pitch import parse_note, parse_pitch
from gripwright.theory.symbol import ChordSymbol, parse_symbol
from gripwright.voicing.conflicts import check_sounds, explain_nothing
from gripwright.voicing.limits import Limits, check_limits
from gripwright.voicing.rules import Wish, wish_for, wish_for_notes, wish_for_pitches
from gripwright.voicing.search import find_grips

FIELDS: dict[str, tuple[type, ...]] = {
    "symbol": (str,), "tuning": (str,), "capo": (int, str, list), "hand": (int, float, str),
    "scale": (int, float), "action": (str,), "gauge": (str,), "pluck": (bool,),
    "frets": (str, list), "span": (int,), "level": (int,), "top": (str,), "bass": (str,),
    "any_bass": (bool,), "rootless": (bool,), "require": (str,), "forbid": (str,),
    "strings": (str, int), "open": (str,), "notes": (str, list, int), "no_doubling": (bool,),
    "thumb": (bool,), "first": (int,), "differ": (bool,),
}  # fmt: skip
OPEN = ("any", "none", "some")
SHOWN = 10


@click.command("grips")
@click.argument("symbol", required=False)
@player_options
@click.option(
    "--frets", default="0-15", show_default=True, help="Lowest and highest fret, from the capo."
)
@click.option(
    "--span",
    type=Whole(),
    default=4,
    show_default=True,
    help="Frets from lowest to highest pressed, both counted.",
)
@click.option(
    "--level",
    type=Whole(),
    default=5,
    show_default=True,
    help="1 for a beginner to 5 for everything.",
)
@click.option("--top", help="Highest note: E in any octave, or E4.")
@click.option("--bass", help="Lowest note in place of the symbol's: E, or E2.")
@click.option("--any-bass", is_flag=True, help="Let any note of the chord be lowest.")
@click.option("--rootless", is_flag=True, help="Let the root be left out, any note lowest.")
@click.option("--require", help='Degrees that must sound, such as "5 9".')
@click.option("--forbid", help='Degrees that must not sound, such as "5".')
@click.option("--strings", help="Sound exactly these strings, such as 4321.")
@click.option(
    "--open",
    type=click.Choice(OPEN),
    default="any",
    show_default=True,
    help="Open strings.",
)
@click.option("--notes", help="Fewest and most strings that sound, such as 3-4.")
@click.option("--no-doubling", is_flag=True, help="Let no note sound twice.")
@click.option("--thumb", is_flag=True, help="Let the thumb reach over the top.")
@click.option("--first", type=Whole(), help="Give only so many: what a teacher shows first.")
@click.option("--differ", is_flag=True, help="With --first: the best that differ in what matters.")
@click.option("--words", "in_words", is_flag=True, help="Say each grip in words.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@click.option("--jsonl", "as_lines", is_flag=True, help="Answer JSON requests from stdin.")
@reports_errors
def command(
    symbol: str | None, *, in_words: bool, as_json: bool, as_lines: bool, **options: Any
) -> int:
    """List the playable grips for SYMBOL, easiest first.

    SYMBOL is a chord symbol (C13), several notes, the first of them lowest ("C E G"), or exact
    pitches ("C3 E3 G3").
    """
    if as_lines:
        return batch(sys.stdin.buffer, answer)
    if symbol is None:
        raise click.UsageError("grips for what? Give a symbol such as Cmaj7, or --jsonl.")
    request = {"symbol": symbol, **options}
    if as_json:
        emit(answer(request))
        return 0
    click.echo("\n".join(page(_ask(request), options.get("first") or SHOWN, in_words)))
    return 0


def answer(request: dict[str, Any]) -> dict[str, Any]:
    """Return the answer to a request whose fields are the names of the options.

    Raises InputError and its kin for what cannot be used, SearchError where nothing is found.
    """
    request = {field.replace("-", "_"): value for field, value in request.items()}
    asked = _ask(request)
    given = chosen(asked.found, request.get("first"), differ=bool(request.get("differ")))
    return {
        "symbol": asked.symbol.text if asked.symbol else asked.wish.text,
        "tuning": asked.player.neck.tuning.text,
        "capo": asked.player.neck.capo,
        "rules": rules(asked),
        "count": len(asked.found),
        "grips": [grip_answer(rank, one, asked.symbol) for rank, one in given],
    }


def _ask(request: dict[str, Any]) -> Answer:
    check_fields(request, FIELDS)
    first = request.get("first")
    if first is not None and first < 1:
        raise InputError("first must be 1 or more", field="first", remedy="leave it out for all")
    if request.get("open") not in (None, *OPEN):
        raise InputError(
            f"open strings are {', '.join(OPEN)}, got {request['open']!r}", field="open",
            remedy=f"use one of {', '.join(OPEN)}",
        )  # fmt: skip
    player = player_of(request)
    limits = _limits(request, player.neck)
    symbol, wish = _wish(request, player.neck)
    if limits.bass and symbol and not limits.bass.exact:
        limits = replace(limits, bass=None)
    check_limits(limits, player.neck)
    check_sounds(wish, player.neck)
    found = find_grips(wish, player, limits, thumb=bool(request.get("thumb")), symbol=symbol)
    if not found:
        raise explain_nothing(wish, player, limits, symbol)
    return Answer(symbol, wish, player, limits, found)


def _limits(request: dict[str, Any], neck: Neck) -> Limits:
    return replace(
        base_limits(request),
        top=edge_of(request.get("top"), "top"),
        bass=edge_of(request.get("bass"), "bass"),
        strings=_strings(request.get("strings"), neck),
        open_strings=request.get("open") or "any",
        notes=two_numbers(request.get("notes"), "notes", (2, 8)),
        doubling=not request.get("no_doubling"),
    )


def _strings(value: Any, neck: Neck) -> frozenset[int] | None:
    if not value:
        return None
    numbers = [int(digit) for digit in str(value) if digit.isdigit()]
    if not numbers or not all(1 <= number <= len(neck) for number in numbers):
        raise SearchError(
            f"{value!r} names no strings of this tuning", field="strings",
            remedy=f"write string numbers 1 to {len(neck)}, such as 4321",
        )  # fmt: skip
    return frozenset(len(neck) - number for number in numbers)


def _wish(request: dict[str, Any], neck: Neck) -> tuple[ChordSymbol | None, Wish]:
    """Return the symbol, if it is one, and what must sound."""
    text = request.get("symbol")
    if not isinstance(text, str) or not text.strip():
        raise InputError("a request needs a symbol", field="symbol", remedy='such as "Cmaj7"')
    words = text.split()
    if len(words) > 1 and all(word[-1].isdigit() for word in words):
        return None, wish_for_pitches((parse_pitch(word).midi for word in words), text)
    if len(words) > 1:
        return None, wish_for_notes((parse_note(word) for word in words), text)
    symbol = parse_symbol(text)
    if request.get("bass"):
        edge = edge_of(request["bass"], "bass")
        assert edge is not None
        note = parse_note(edge.text.rstrip("-0123456789"))
        symbol = replace(symbol, bass=None if note == symbol.root else note)
    return symbol, wish_for(
        symbol,
        neck,
        rootless=bool(request.get("rootless")),
        any_bass=bool(request.get("any_bass")),
        require=degrees(request.get("require") or ""),
        forbid=degrees(request.get("forbid") or ""),
    )
