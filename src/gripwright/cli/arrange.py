"""``gripwright arrange``: the best chain of grips through changes, a lesson or a part."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from gripwright.beats import Metre
from gripwright.cli.arrange_told import Outcome, answer, page
from gripwright.cli.asking import (
    base_limits,
    edge_of,
    player_of,
    player_options,
    write_whole,
)
from gripwright.cli.numbers import Whole
from gripwright.cli.output import emit, reports_errors
from gripwright.errors import InputError
from gripwright.formats.midi_read import read_midi
from gripwright.formats.musicxml_read import read_musicxml
from gripwright.formats.notes import NoteList
from gripwright.lesson.arranged import arrange_lesson, chords_of, write_grips_in
from gripwright.lesson.model import Lesson
from gripwright.lesson.reduced import Source, lesson_of_part
from gripwright.lesson.text import lesson_error, parse, read_text
from gripwright.lesson.write import write_lesson
from gripwright.voicing.arrange import Asked, Wanted, arrange, for_another_neck
from gripwright.voicing.changes import parse_changes, with_tops

READERS = {
    ".mid": read_midi, ".midi": read_midi,
    ".musicxml": read_musicxml, ".xml": read_musicxml, ".mxl": read_musicxml,
}  # fmt: skip
BEATS_A_BAR = 4


@click.command("arrange")
@click.argument("source", required=False, type=click.Path(path_type=Path))
@click.option("--changes", help='Changes in place of a file: "Dm7 G7 | Cmaj7".')
@player_options
@click.option("--frets", default="0-15", show_default=True, help="Lowest and highest fret.")
@click.option("--span", type=Whole(), default=4, show_default=True, help="Frets under one grip.")
@click.option("--level", type=Whole(), default=5, show_default=True, help="1 easiest to 5.")
@click.option("--tempo", type=float, default=90.0, show_default=True, help="For --changes.")
@click.option("--aim", type=click.Choice(["total", "worst"]), default="total", show_default=True,
              help="Least effort in all, or the easiest worst moment.")  # fmt: skip
@click.option("--tops", help='Top notes, one a chord, - for any: "E4 F - G".')
@click.option("--rising", is_flag=True, help="The top line should not fall.")
@click.option("--chains", type=Whole(), default=1, show_default=True, help="How many that differ.")
@click.option("--one-each", is_flag=True, help="One grip for a symbol throughout a lesson.")
@click.option("--part", type=Whole(), help="Which part of a MIDI or MusicXML file, from 1.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write a lesson there.")
@click.option("--words", "in_words", is_flag=True, help="Say grips and changes in words.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@reports_errors
def command(
    source: Path | None, *, output: Path | None, in_words: bool, as_json: bool, **options: Any
) -> int:
    """Choose the best chain of grips through changes.

    SOURCE is a lesson, whose own grips stay, or a part as MIDI or MusicXML, which is brought
    onto the neck. With -o the grips are written into the lesson, or the part becomes one.
    """
    if output is not None:
        _check_output(source, output)
    outcome = _outcome(source, options)
    if output is not None:
        if outcome.text is None:
            raise InputError(
                "there is no lesson to write here: changes alone make none, and a lesson keeps"
                " its own tuning", field="output",
                remedy="give a lesson without --tuning and --capo, or a part",
            )  # fmt: skip
        write_whole(output, outcome.text)
    if as_json:
        emit(answer(outcome))
    else:
        click.echo("\n".join(page(outcome, in_words)))
    return 0


def _check_output(source: Path | None, output: Path) -> None:
    """Refuse to write over a file, unless it is the lesson that is arranged itself."""
    same = source is not None and source.exists() and output.exists() and output.samefile(source)
    lesson = source is not None and source.suffix.lower() not in READERS
    if output.exists() and not (same and lesson):
        raise InputError(
            f"{output} is there already", field="output",
            remedy="choose another name, or move that file away",
        )  # fmt: skip


def _outcome(source: Path | None, options: dict[str, Any]) -> Outcome:
    if (source is None) == (options["changes"] is None):
        raise click.UsageError("arrange what? Give a file, or --changes, and not both.")
    wanted = Wanted(base_limits(options), options["aim"], options["rising"])
    if not 1 <= options["chains"] <= 9:
        raise InputError(
            f"from 1 to 9 chains can be given, got {options['chains']}", field="chains",
            remedy="leave it out for the best one",
        )  # fmt: skip
    if source is None:
        return _from_changes(options, wanted)
    if source.suffix.lower() in READERS:
        return _from_part(source, options, wanted)
    return _from_lesson(source, options, wanted)


def _from_changes(options: dict[str, Any], wanted: Wanted) -> Outcome:
    player = player_of(options)
    if not 10 <= options["tempo"] <= 400:
        raise InputError(
            f"a tempo is 10 to 400 beats a minute, got {options['tempo']:g}", field="tempo",
            remedy="give beats a minute, such as 90",
        )  # fmt: skip
    bar_s = BEATS_A_BAR * 60 / options["tempo"]
    asked = parse_changes(options["changes"], len(player.neck), bar_s)
    asked = _with_tops(asked, options["tops"])
    given = arrange(asked, player, wanted, count=options["chains"])
    return Outcome(player, tuple(one.symbol for one in asked), given)


def _with_tops(asked: tuple[Asked, ...], tops: str | None) -> tuple[Asked, ...]:
    words = (tops or "").split()
    edges = [None if word == "-" else edge_of(word, "tops") for word in words]
    return with_tops(asked, edges) if words else asked


def _from_lesson(source: Path, options: dict[str, Any], wanted: Wanted) -> Outcome:
    text = read_text(source)
    parsed = parse(text)
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, source.name)
    lesson = parsed.lesson
    if options["tuning"] or options["capo"]:
        return _elsewhere(lesson, options, wanted)
    player = player_of(options, lesson.neck)
    given = arrange_lesson(
        lesson, player, wanted, one_each=options["one_each"], count=options["chains"]
    )
    symbols = tuple(one.chord.symbol for one in chords_of(lesson))
    return Outcome(player, symbols, given, write_grips_in(text, given[0]))


def _elsewhere(lesson: Lesson, options: dict[str, Any], wanted: Wanted) -> Outcome:
    """Arrange a lesson's symbols for another neck, its grips left aside."""
    player = player_of(options)
    asked = for_another_neck([one.asked for one in chords_of(lesson)])
    given = arrange(asked, player, wanted, count=options["chains"])
    return Outcome(player, tuple(one.symbol for one in asked), given)


def _from_part(source: Path, options: dict[str, Any], wanted: Wanted) -> Outcome:
    listed = READERS[source.suffix.lower()](source)
    player = player_of(options)
    part = lesson_of_part(
        _one_part(listed, options["part"]), _facts(listed, source), player, wanted
    )
    symbols = {chord.grip: chord.symbol for chord in part.lesson.grips}
    arrangement = part.reduction.arrangement
    return Outcome(
        player, tuple(symbols[one.grip] for one in arrangement.grips), (arrangement,),
        write_lesson(part.lesson), part,
    )  # fmt: skip


def _one_part(listed: NoteList, part: int | None) -> Sequence[Any]:
    if part is None:
        return listed.notes
    notes = [note for note in listed.notes if note.part == part - 1]
    if not notes:
        raise InputError(
            f"there is no part {part} with notes in this file", field="part",
            remedy=f"it has {len(listed.parts)}: {', '.join(listed.parts)}",
        )  # fmt: skip
    return notes


def _facts(listed: NoteList, source: Path) -> Source:
    tempo = listed.tempos[0][1] if listed.tempos else Fraction(90)
    return Source(
        listed.metres[0][1] if listed.metres else Metre(),
        Fraction(round(tempo)),
        listed.title or source.stem.replace("-", " ").replace("_", " "),
    )
