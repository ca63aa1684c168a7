"""``gripwright explain``: keys, numerals, functions, scales, remarks and threads of changes."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from gripwright.cli.asking import neck_of
from gripwright.cli.explain_page import Spot, licks_page, page
from gripwright.cli.output import batch, emit, reports_errors
from gripwright.errors import TOLD, InputError
from gripwright.formats.score_keys import part_keys
from gripwright.harmony.changes import Change, check_any, read_changes, read_chords
from gripwright.harmony.explain import Explained, Explanation, explain_changes
from gripwright.harmony.key import Region
from gripwright.lesson.explained import explain_lesson
from gripwright.lesson.lick_roles import PartLicks, lick_roles
from gripwright.lesson.text import read_lesson
from gripwright.neck.tuning import STANDARD, Neck
from gripwright.theory.scale import Key, parse_key

FIELDS: dict[str, tuple[type, ...]] = {
    "chords": (list, str), "changes": (str,), "lengths": (list,), "key": (str,),
    "tuning": (str,), "capo": (int, str),
}  # fmt: skip
_WORDS = {list: "a list", str: "text", int: "a whole number"}
MOST_CHORDS = 20_000
BEYOND = 1e12  # no length is as long; whole numbers may be too large for a float


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be explained."""

    changes: tuple[Change, ...]
    key: Key | None
    neck: Neck


@click.command()
@click.argument("lesson", required=False, type=click.Path(path_type=Path))
@click.option("--changes", help='Changes in place of a file: "Dm7 G7 | Cmaj7".')
@click.option("--key", help='Key that holds throughout, such as "Ab major"; else it is found.')
@click.option("--tuning", default=STANDARD.text, show_default=True, help="Open strings of grips.")
@click.option(
    "--capo", default="0", show_default=True, help="Capo of grips: a fret, or one a string."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@click.option("--jsonl", "as_lines", is_flag=True, help="Answer JSON requests from stdin.")
@reports_errors
def command(
    lesson: Path | None, *, changes: str | None, as_json: bool, as_lines: bool, **options: Any
) -> int:
    """Explain changes: where each chord stands in its key, what it does, what moves.

    Give a LESSON file, or --changes with bars parted by |: symbols, Harte labels, grips such as
    x35453, or both as x35453=Cmaj7; / strikes a chord again, N is silence.

    Each chord has its numeral, its function and the scales it may carry; beneath it stands what
    is worth saying, and how its voices lead on, their degrees in brackets.
    """
    if as_lines:
        return batch(sys.stdin.buffer, answer)
    if (lesson is None) == (changes is None):
        raise click.UsageError("explain what? Give a lesson file, or --changes, and not both.")
    licks: list[PartLicks] = []
    spots: list[Spot] = []
    if lesson is None:
        told = _explain(_ask({"changes": changes, **options}))
    else:
        told, licks, spots = _explain_file(lesson, _key(options.get("key")))
    if as_json:
        emit({**as_dict(told), "licks": [_lick(part) for part in licks]})
    else:
        click.echo("\n".join([page(told, spots), *map(licks_page, licks)]))
    return 0


def answer(request: dict[str, Any]) -> dict[str, Any]:
    """Return the answer to a request.

    Raises InputError for a field that is unknown or of the wrong type, and what the chords,
    grips, lengths and key raise.
    """
    return as_dict(_explain(_ask(request)))


def _ask(request: dict[str, Any]) -> Asked:
    for field, value in request.items():
        _check(field, value)
    neck = neck_of(request)
    changes = _changes(request, neck)
    check_any(changes)
    if len(changes) > MOST_CHORDS:
        raise InputError(
            f"there are {len(changes)} chords, at most {MOST_CHORDS} are explained at once",
            field="chords", remedy="explain the song part by part",
        )  # fmt: skip
    return Asked(_measured(changes, request.get("lengths")), _key(request.get("key")), neck)


def _check(field: str, value: Any) -> None:
    """Raise InputError for a field that does not exist or is of another type."""
    kinds = FIELDS.get(field)
    if kinds is None:
        remedy = f"use {', '.join(FIELDS)}"
        raise InputError(f"there is no field {field!r}", field=field, remedy=remedy)
    if value is not None and type(value) not in kinds:
        wanted = " or ".join(_WORDS[kind] for kind in kinds)
        raise InputError(
            f"{field} must be {wanted}, got {value!r}", field=field, remedy=f"give {wanted}"
        )


def _key(text: str | None) -> Key | None:
    return None if text is None or text == "auto" else parse_key(text)


def _changes(request: dict[str, Any], neck: Neck) -> tuple[Change, ...]:
    """Return the changes of a request: a list of ``chords``, or a line of ``changes``."""
    chords, line = request.get("chords"), request.get("changes")
    remedy = 'such as {"chords": ["Dm7", "G7", "Cmaj7"]}'
    if (chords is None) == (line is None):
        raise InputError("a request needs chords, or changes", field="chords", remedy=remedy)
    if isinstance(chords, str) or isinstance(line, str):
        return read_changes(chords if isinstance(chords, str) else str(line), neck)
    wrong = [index for index, chord in enumerate(chords or []) if not isinstance(chord, str)]
    if wrong:
        told = ", ".join(f"chord {index + 1}" for index in wrong[:TOLD])
        got = repr((chords or [])[wrong[0]])
        raise InputError(
            f"{told} must be text, got {got}", field="chords", at=wrong[0], remedy=remedy
        )
    return read_chords(chords or [], neck)


def _measured(changes: Sequence[Change], lengths: Any) -> tuple[Change, ...]:
    """Return changes with the lengths of a request, where it gives them."""
    if lengths is None:
        return tuple(changes)
    if any(type(length) not in (int, float) for length in lengths):
        raise InputError(
            "lengths must be a list of numbers", field="lengths",
            remedy="give one length a chord, all in one unit",
        )  # fmt: skip
    if len(lengths) != len(changes):
        raise InputError(
            f"there are {len(changes)} chords and {len(lengths)} lengths", field="lengths",
            remedy="give one length a chord, all in one unit",
        )  # fmt: skip
    return tuple(
        Change(change.symbol, change.grip, float(min(length, BEYOND)))
        for change, length in zip(changes, lengths, strict=True)
    )


def _explain(asked: Asked) -> Explanation:
    return explain_changes(asked.changes, asked.key, asked.neck)


def _explain_file(path: Path, key: Key | None) -> tuple[Explanation, list[PartLicks], list[Spot]]:
    """Explain a lesson's chart and its licks, each part's in the key that its score has."""
    lesson = read_lesson(path).lesson
    assert lesson is not None
    written, told = explain_lesson(lesson, key)
    keys = part_keys(lesson)
    parts = [lick_roles(part, key or keys[part.name], lesson.neck) for part in lesson.parts]
    spots = [Spot(one.place.part, one.place.bar) for one in written]
    return told, [part for part in parts if part.notes], spots


def _lick(part: PartLicks) -> dict[str, Any]:
    return {
        "part": part.part,
        "mode": part.mode,
        "notes": [
            {
                "bar": one.bar, "string": one.note.string, "fret": one.note.fret,
                "note": one.judged.note.name, "chord": one.chord.text,
                "degree": one.judged.degree.text, "role": one.judged.role,
            }
            for one in part.notes
        ],
    }  # fmt: skip


def as_dict(told: Explanation) -> dict[str, Any]:
    """Return an explanation as the command's contract writes it."""
    return {
        "keys": [_region(region) for region in told.keys.regions],
        "keys_also": [_region(region) for region in told.keys.also],
        "chords": [_chord(chord) for chord in told.chords],
        "threads": [
            {
                "from": start, "to": end, "kind": thread.kind, "voice": thread.voice,
                "motion": thread.motion, "guide": thread.guide, "text": thread.text,
            }
            for start, end, thread in told.threads
        ],
    }  # fmt: skip


def _region(region: Region) -> dict[str, Any]:
    return {"key": region.key.name, "start": region.start, "end": region.end}


def _chord(chord: Explained) -> dict[str, Any]:
    return {
        "symbol": chord.symbol.text if chord.symbol else None,
        "harte": chord.symbol.harte if chord.symbol else "N",
        "notes": [pitch.name for pitch in chord.notes],
        "key": chord.key.name,
        "numeral": chord.numeral,
        "function": chord.function,
        "scales": list(chord.scales),
        "remarks": [remark.text for remark in chord.remarks],
        "remark_kinds": [remark.kind for remark in chord.remarks],
    }
