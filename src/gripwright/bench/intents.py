"""What a window means, turned into one edit of the lesson's text.

Each intent is one row: the window names it and gives indexes of part, bar and event; the
lesson room knows which text to change.
"""

from __future__ import annotations

import re
from collections.abc import Callable
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
    set_chord,
    set_push,
    split_chord,
)
from gripwright.lesson.revise_bars import copy_bar, delete_bar, insert_bar
from gripwright.lesson.revise_carry import beats_of, carry_chord, end_chord, pass_chord, stays_with
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
    """Give a chord and its strokes some beats more or less, or let them end on a beat."""
    place = _place(args, parsed)
    bar = bar_at(parsed, place.part, place.bar)
    if "to_beat" in args:
        edges = (*beats_of(bar), bar.length)
        return end_chord(text, parsed, place, edges[_within(args, "to_beat", len(edges))])
    event_at(parsed, place)
    stays, index = stays_with(bar, place.event)
    last = stays[index][-1]
    end = last.offset + last.length + whole_field(args, "beats") * bar.metre.beats[0]
    return end_chord(text, parsed, place, end)


def _within(args: Args, name: str, count: int) -> int:
    value = whole_field(args, name)
    if not 0 <= value < count:
        raise InputError(f"there is no {name} {value}", field=name, at=value)
    return value


def _carry(args: Args, text: str, parsed: Parsed) -> Edit:
    """Carry a chord to a beat of another bar, counted from 0; ``copy`` leaves the first."""
    part, index = _part({"part": args.get("to_part")}, parsed), whole_field(args, "to_bar")
    beats = beats_of(bar_at(parsed, part, index))
    at, copy = beats[_within(args, "to_beat", len(beats))], args.get("copy") is True
    return carry_chord(text, parsed, _place(args, parsed), part, index, at=at, copy=copy)


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
    "carry_chord": _carry,
    "append_chord": _append,
    "delete_chord": lambda a, text, parsed: delete_chord(text, parsed, _place(a, parsed)),
    "move_chord": lambda a, text, parsed: pass_chord(
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
