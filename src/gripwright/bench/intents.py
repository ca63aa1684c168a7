"""What a window means, turned into one edit of the lesson's text.

Each intent is one row: the window names it and gives indexes of part, bar and event; the
lesson room knows which text to change.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Any

from gripwright.bench.arranging import take_arrangement
from gripwright.bench.replies import text_field, whole_field
from gripwright.errors import InputError
from gripwright.lesson.edit import Edit
from gripwright.lesson.revise import (
    Place,
    bar_at,
    delete_chord,
    event_at,
    move_chord,
    set_chord,
    set_push,
    split_chord,
    stretch_chord,
)
from gripwright.lesson.revise_bars import copy_bar, delete_bar, insert_bar
from gripwright.lesson.revise_text import add_part, set_front
from gripwright.lesson.text import Parsed

Args = dict[str, Any]
Intent = Callable[[Args, str, Parsed], Edit]


def make_edit(name: str, args: Args, text: str, parsed: Parsed) -> Edit:
    """Return the edit of an intent; raises InputError for an unknown one or wrong arguments."""
    intent = INTENTS.get(name)
    if intent is None or not isinstance(args, dict):
        raise InputError(f"{name!r} is no intent of the bench", field="intent")
    return intent(args, text, parsed)


def _part(args: Args, parsed: Parsed) -> str:
    parts = parsed.draft.parts
    index = whole_field(args, "part")
    if not 0 <= index < len(parts):
        raise InputError(f"there is no part {index + 1}", field="part", at=index)
    return parts[index].name


def _place(args: Args, parsed: Parsed) -> Place:
    return Place(_part(args, parsed), whole_field(args, "bar"), whole_field(args, "event"))


def _beats(args: Args, parsed: Parsed, place: Place) -> Fraction:
    """Return the change in quarters for a change in beats of the bar's metre."""
    beat = bar_at(parsed, place.part, place.bar).metre.beats[0]
    return whole_field(args, "beats") * beat


def _set(args: Args, text: str, parsed: Parsed) -> Edit:
    return set_chord(text, parsed, _place(args, parsed), text_field(args, "writing"))


def _insert(args: Args, text: str, parsed: Parsed) -> Edit:
    """Cut the chord in two and write a new one in its second half."""
    place = _place(args, parsed)
    event = event_at(parsed, place)
    beat = bar_at(parsed, place.part, place.bar).metre.beats[0]
    half = event.length / 2
    kept = half // beat * beat or half
    return split_chord(text, parsed, place, kept, text_field(args, "writing"))


def _stretch(args: Args, text: str, parsed: Parsed) -> Edit:
    place = _place(args, parsed)
    length = event_at(parsed, place).length + _beats(args, parsed, place)
    return stretch_chord(text, parsed, place, length)


def _append(args: Args, text: str, parsed: Parsed) -> Edit:
    """Write a chord into the part's last bar if it only rests, else into a new bar."""
    name, writing = _part(args, parsed), text_field(args, "writing")
    bars = parsed.draft.part(name).bars
    free = [i for i, bar in enumerate(bars) if all(event.chord is None for event in bar.chords)]
    if free:
        return set_chord(text, parsed, Place(name, free[0], 0), writing)
    return insert_bar(text, parsed, name, len(bars), writing)


def _insert_bar(args: Args, text: str, parsed: Parsed) -> Edit:
    return insert_bar(text, parsed, _part(args, parsed), whole_field(args, "bar"))


def _copy_bar(args: Args, text: str, parsed: Parsed) -> Edit:
    bar = whole_field(args, "bar")
    return copy_bar(text, parsed, _part(args, parsed), bar, bar + 1)


def _front(args: Args, text: str, parsed: Parsed) -> Edit:
    value = text_field(args, "value").strip()
    if re.search(r"[\r\n]", value):
        raise InputError("a front-matter value is one line", field="value")
    return set_front(text, parsed, text_field(args, "field"), value or None)


INTENTS: dict[str, Intent] = {
    "set_chord": _set,
    "insert_chord": _insert,
    "stretch_chord": _stretch,
    "append_chord": _append,
    "delete_chord": lambda a, text, parsed: delete_chord(text, parsed, _place(a, parsed)),
    "move_chord": lambda a, text, parsed: move_chord(
        text, parsed, _place(a, parsed), whole_field(a, "by")
    ),
    "push_chord": lambda a, text, parsed: set_push(
        text, parsed, _place(a, parsed), whole_field(a, "marks")
    ),
    "insert_bar": _insert_bar,
    "copy_bar": _copy_bar,
    "delete_bar": lambda a, text, parsed: delete_bar(
        text, parsed, _part(a, parsed), whole_field(a, "bar")
    ),
    "add_part": lambda a, text, parsed: add_part(text, parsed, text_field(a, "name"), ["rest"] * 4),
    "set_front": _front,
    "take_arrangement": take_arrangement,
}
