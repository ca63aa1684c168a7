"""``gripwright tunings``: which tuning or capo suits a song."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from gripwright.cli.asking import base_limits, neck_of, player_of, player_options
from gripwright.cli.numbers import Whole
from gripwright.cli.output import emit, reports_errors
from gripwright.cli.telling import effort_word, pitch_of
from gripwright.errors import InputError
from gripwright.lesson.arranged import chords_of
from gripwright.lesson.text import read_lesson
from gripwright.neck.effort import Player
from gripwright.neck.tuning import Neck, string_number
from gripwright.voicing.arrange import Asked, Wanted
from gripwright.voicing.changes import parse_changes
from gripwright.voicing.tunings import FRETS, Fit, lowest_needed, rank_tunings, song_necks

SHOWN, TOLD = 10, 3


@click.command("tunings")
@click.argument("lesson", required=False, type=click.Path(path_type=Path))
@click.option("--changes", help='Changes in place of a lesson: "Dm7 G7 | Cmaj7".')
@player_options
@click.option("--try", "tries", multiple=True, help='Another tuning to try, "C2 G2 D3 A3 E4 G4".')
@click.option("--keep", type=click.Choice(["pitches", "shapes"]), default="pitches",
              show_default=True, help="What the lesson's own grips keep.")  # fmt: skip
@click.option("--frets", default=f"{FRETS[0]}-{FRETS[1]}", show_default=True, help="Frets in use.")
@click.option("--span", type=Whole(), default=4, show_default=True, help="Frets under one grip.")
@click.option("--level", type=Whole(), default=5, show_default=True, help="1 easiest to 5.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@reports_errors
def command(
    lesson: Path | None, *, changes: str | None, tries: tuple[str, ...], as_json: bool,
    **options: Any,
) -> int:  # fmt: skip
    """Rank tunings and capos for a LESSON: what each reaches, how hard it is, what is lost.

    --tuning and --capo say how --changes are written; a lesson says so itself. Tunings are
    named by their notes, bass side first.
    """
    if (lesson is None) == (changes is None):
        raise click.UsageError("tunings for what? Give a lesson, or --changes, and not both.")
    home, asked = _song(lesson, changes, options)
    necks = song_necks(home.neck, [_tried(text, home.neck) for text in tries])
    fits = rank_tunings(
        asked, home, necks, keep=options["keep"], wanted=Wanted(base_limits(options))
    )
    if as_json:
        emit(_answer(asked, home, fits))
    else:
        click.echo("\n".join(_page(asked, home, fits)))
    return 0


def _song(
    lesson: Path | None, changes: str | None, options: dict[str, Any]
) -> tuple[Player, tuple[Asked, ...]]:
    if lesson is not None:
        found = read_lesson(lesson).lesson
        assert found is not None
        player = player_of(options, found.neck)
        return player, tuple(one.asked for one in chords_of(found))
    player = player_of(options)
    return player, parse_changes(changes or "", len(player.neck))


def _tried(text: str, home: Neck) -> Neck:
    neck = neck_of({"tuning": text})
    if len(neck) != len(home):
        raise InputError(
            f"{text!r} has {len(neck)} strings, the song's tuning {len(home)}", field="try",
            remedy="give a tuning with as many strings",
        )  # fmt: skip
    return neck


def _answer(asked: tuple[Asked, ...], home: Player, fits: tuple[Fit, ...]) -> dict[str, Any]:
    return {
        "tuning": home.neck.tuning.text,
        "capo": home.neck.capo,
        "lowest": [pitch_of(midi).name for midi in lowest_needed(asked, home.neck)],
        "tunings": [_fit(asked, fit) for fit in fits],
    }


def _fit(asked: tuple[Asked, ...], fit: Fit) -> dict[str, Any]:
    return {
        "tuning": fit.neck.tuning.text,
        "capo": fit.neck.capo,
        "stops": list(fit.neck.stops),
        "effort": round(fit.effort, 4),
        "reached": sum(grip is not None for grip in fit.grips),
        "of": len(asked),
        "unreached": [{"index": one.index, "text": one.text} for one in fit.unreached],
        "lost": [{"index": index, "text": text} for index, text in fit.lost],
        "sounds": [{"index": index, "symbol": text} for index, text in fit.sounds],
        "grips": [grip.text if grip else None for grip in fit.grips],
    }


def _page(asked: tuple[Asked, ...], home: Player, fits: tuple[Fit, ...]) -> list[str]:
    lowest = ", ".join(pitch_of(midi).name for midi in lowest_needed(asked, home.neck))
    count = f"{len(asked)} chord{'s' * (len(asked) > 1)}"
    lines = [f"{count}; the lowest notes needed: {lowest}", ""]
    for fit in fits[:SHOWN]:
        mark = " (as written)" if fit.neck == home.neck else ""
        lines.append(
            f"  {fit.neck.tuning.text}{_capo(fit.neck)}{mark}: {effort_word(fit.effort)},"
            f" effort {fit.effort:.2f}"
        )
        told = [one.text for one in fit.unreached] + [text for _, text in fit.lost]
        told += [f"chord {index + 1} sounds {text}" for index, text in fit.sounds]
        told = list(dict.fromkeys(told))
        lines += [f"      {text}" for text in told[:TOLD]]
        if len(told) > TOLD:
            lines.append(f"      and {len(told) - TOLD} more")
    return lines


def _capo(neck: Neck) -> str:
    if neck.capo:
        return f", capo {neck.capo}"
    if neck.capo == 0:
        return ""
    held = [
        f"string {string_number(index, len(neck))} at {stop}"
        for index, stop in enumerate(neck.stops)
        if stop
    ]
    return f", partial capo: {', '.join(held)}"
