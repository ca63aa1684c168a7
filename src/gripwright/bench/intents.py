"""What a window means, turned into one edit of the lesson's text.

Each intent is one row: the window names it and gives indexes of part, bar and event; the
lesson room knows which text to change.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from gripwright.bench.arranging import take_arrangement
from gripwright.bench.calls import converted
from gripwright.bench.wire import intents as wire
from gripwright.bench.wire.requests import Request
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

Make = Callable[[str, Parsed], Edit]
NEW_PART = ["rest"] * 4


def edit_maker(name: str, args: dict[str, Any]) -> Make:
    """Return what makes the edit of an intent from the lesson's text.

    Raises InputError for an unknown intent or arguments that do not fit it.
    """
    if name not in INTENTS:
        raise InputError(
            f"{name!r} is no intent of the bench", field="intent",
            remedy=f"use {', '.join(INTENTS)}",
        )  # fmt: skip
    kind, intent = INTENTS[name]
    given = converted(args, kind)
    return lambda text, parsed: intent(given, text, parsed)


def _part(index: int, parsed: Parsed) -> str:
    parts = parsed.draft.parts
    return parts[_within("part", index, len(parts))].name


def _within(name: str, value: int, count: int) -> int:
    if value >= count:
        raise InputError(
            f"there is no {name} {value}", field=name, at=value,
            remedy=f"count from 0, below {count}",
        )  # fmt: skip
    return value


def _place(at: wire.ChordAt, parsed: Parsed) -> Place:
    return Place(_part(at.part, parsed), at.bar, at.event)


def _set(args: wire.WriteChord, text: str, parsed: Parsed) -> Edit:
    return set_chord(text, parsed, _place(args, parsed), args.writing)


def _insert(args: wire.WriteChord, text: str, parsed: Parsed) -> Edit:
    """Cut the chord in two and write a new one in its second half: a stroke of it, if it has."""
    place, writing = _place(args, parsed), args.writing
    event = event_at(parsed, place)
    bar = bar_at(parsed, place.part, place.bar)
    stays, index = stays_with(bar, place.event)
    strokes = len(stays[index])
    if strokes > 1:
        first = sum(map(len, stays[:index]))
        return set_chord(text, parsed, place._replace(event=first + strokes // 2), writing)
    beat, half = bar.metre.beats[0], event.length / 2
    return split_chord(text, parsed, place, half // beat * beat or half, writing)


def _stretch(args: wire.Stretch, text: str, parsed: Parsed) -> Edit:
    """Give a chord and its strokes some beats more or less, or let them end on a beat."""
    place = _place(args, parsed)
    bar = bar_at(parsed, place.part, place.bar)
    if args.to_beat is not None:
        edges = (*beats_of(bar), bar.length)
        return end_chord(text, parsed, place, edges[_within("to_beat", args.to_beat, len(edges))])
    if args.beats is None:
        raise InputError(
            "how far is the chord to be stretched?", field="beats", remedy="give beats or to_beat"
        )
    event_at(parsed, place)
    stays, index = stays_with(bar, place.event)
    last = stays[index][-1]
    end = last.offset + last.length + args.beats * bar.metre.beats[0]
    return end_chord(text, parsed, place, end)


def _carry(args: wire.Carry, text: str, parsed: Parsed) -> Edit:
    """Carry a chord to a beat of another bar; ``copy`` leaves the first."""
    part = _part(args.to_part, parsed)
    beats = beats_of(bar_at(parsed, part, args.to_bar))
    at = beats[_within("to_beat", args.to_beat, len(beats))]
    place = _place(args, parsed)
    return carry_chord(text, parsed, place, part, args.to_bar, at=at, copy=args.copy)


def _append(args: wire.Append, text: str, parsed: Parsed) -> Edit:
    """Write a chord into the part's last bar if it only rests, else into a new bar."""
    name = _part(args.part, parsed)
    bars = parsed.draft.part(name).bars
    free = [i for i, bar in enumerate(bars) if all(event.chord is None for event in bar.chords)]
    if free:
        return set_chord(text, parsed, Place(name, free[0], 0), args.writing)
    return insert_bar(text, parsed, name, len(bars), args.writing)


def _copy_bar(args: wire.BarAt, text: str, parsed: Parsed) -> Edit:
    return copy_bar(text, parsed, _part(args.part, parsed), args.bar, args.bar + 1)


def _front(args: wire.SetFront, text: str, parsed: Parsed) -> Edit:
    value = args.value.strip()
    if re.search(r"[\r\n]", value):
        raise InputError(
            "a front-matter value is one line", field="value", remedy="write it in one line"
        )
    return set_front(text, parsed, args.field, value or None)


INTENTS: dict[str, tuple[type[Request], Callable[[Any, str, Parsed], Edit]]] = {
    "set_chord": (wire.WriteChord, _set),
    "insert_chord": (wire.WriteChord, _insert),
    "stretch_chord": (wire.Stretch, _stretch),
    "carry_chord": (wire.Carry, _carry),
    "append_chord": (wire.Append, _append),
    "delete_chord": (wire.ChordAt, lambda a, text, p: delete_chord(text, p, _place(a, p))),
    "move_chord": (wire.MoveBy, lambda a, text, p: pass_chord(text, p, _place(a, p), a.by)),
    "push_chord": (wire.Push, lambda a, text, p: set_push(text, p, _place(a, p), a.marks)),
    "insert_bar": (wire.BarAt, lambda a, text, p: insert_bar(text, p, _part(a.part, p), a.bar)),
    "copy_bar": (wire.BarAt, _copy_bar),
    "delete_bar": (wire.BarAt, lambda a, text, p: delete_bar(text, p, _part(a.part, p), a.bar)),
    "add_part": (wire.AddPart, lambda a, text, p: add_part(text, p, a.name, NEW_PART)),
    "set_front": (wire.SetFront, _front),
    "take_arrangement": (wire.TakeArrangement, take_arrangement),
}
