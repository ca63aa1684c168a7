"""Change chords: each function returns the `Edit` that does it, touching only its bar.

They work on the draft of a parse, so that a lesson with a problem elsewhere can be edited too.
`Place` counts part, bar and event as the draft does. A chord struck again (``/``), rung on
(``_``) or repeated (``same``) after the changed one follows it, as it reads.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from gripwright.beats import Quarters
from gripwright.errors import InputError
from gripwright.lesson.chart import ITEM
from gripwright.lesson.edit import Edit, merged
from gripwright.lesson.grid import Ruler
from gripwright.lesson.lexer import tokens
from gripwright.lesson.marks import LABEL, doubt_text
from gripwright.lesson.model import Bar, ChordEvent, Doubt
from gripwright.lesson.source import Span, Token
from gripwright.lesson.text import Parsed
from gripwright.lesson.write_bars import chart_words, chord_word

_WORD = re.compile(r"[^\s|(){}`][^\s|{}`]*")


class Place(NamedTuple):
    """A chord event of the chart: part name, bar and event from 0."""

    part: str
    bar: int
    event: int


def bar_at(parsed: Parsed, part: str, index: int) -> Bar:
    """Return a bar of the draft; raises InputError when there is none."""
    for candidate in parsed.draft.parts:
        if candidate.name == part and 0 <= index < len(candidate.bars):
            return candidate.bars[index]
    raise InputError(
        f"there is no bar {index + 1} in a part called {part!r}", field="bar", at=index,
        remedy="read the lesson again",
    )  # fmt: skip


def event_at(parsed: Parsed, place: Place) -> ChordEvent:
    """Return an event of the draft; raises InputError when there is none."""
    bar = bar_at(parsed, place.part, place.bar)
    if not 0 <= place.event < len(bar.chords):
        raise InputError(
            f"bar {place.bar + 1} of {place.part!r} has no chord {place.event + 1}",
            field="event", at=place.event, remedy="read the lesson again",
        )  # fmt: skip
    return bar.chords[place.event]


def set_chord(text: str, parsed: Parsed, place: Place, word: str) -> Edit:
    """Put another chord in a place; its push and label stay.

    ``word`` is as in the chart: a name set out, a symbol, a grip, ``x35453=Cmaj7`` or ``rest``.
    """
    match = ITEM.fullmatch(_one_word(word))
    body = f"{match[2]}{match[3] or ''}" if match else word
    return _new_word(text, parsed, place, body=body)


def copy_chord(text: str, parsed: Parsed, source: Place, target: Place) -> Edit:
    """Put the chord of one place in another."""
    chord = event_at(parsed, source).chord
    book = {entry.name: entry for entry in parsed.draft.grips}
    return set_chord(text, parsed, target, chord_word(chord, book) if chord else "rest")


def set_doubt(text: str, parsed: Parsed, place: Place, doubt: Doubt | None) -> Edit:
    """Mark a chord as in doubt, or settle it."""
    return _new_word(text, parsed, place, doubt=doubt_text(doubt))


def set_label(text: str, parsed: Parsed, place: Place, label: str | None) -> Edit:
    """Give a chord a label for prose, or take it away."""
    if label is not None and not re.fullmatch(LABEL, label):
        raise InputError(
            f"{label!r} is no label", field="label",
            remedy="start with a letter; letters, digits, - and _ may follow",
        )  # fmt: skip
    return _new_word(text, parsed, place, label=f"@{label}" if label else "")


def set_push(text: str, parsed: Parsed, place: Place, marks: int) -> Edit:
    """Let a chord arrive early by ``marks``: 0 on the beat, 1 half a beat, 2 a quarter."""
    return _new_word(text, parsed, place, push="<" * marks)


def split_chord(text: str, parsed: Parsed, place: Place, length: Quarters, word: str) -> Edit:
    """Shorten a chord to ``length`` and put ``word`` in what is left of it."""
    event = event_at(parsed, place)
    if not 0 < length < event.length:
        raise InputError(
            f"the chord lasts {event.length} quarters, it cannot be cut at {length}",
            field="length", remedy="cut it inside its length",
        )  # fmt: skip
    new = replace(
        event, offset=event.offset + length, length=event.length - length, chord=None,
        push=Quarters(0), struck=True, label=None,
    )  # fmt: skip
    bar = bar_at(parsed, place.part, place.bar)
    first = replace(event, length=length)
    events = [*bar.chords[: place.event], first, new, *bar.chords[place.event + 1 :]]
    return _rewritten(text, parsed, place, events, {place.event + 1: _one_word(word)})


def delete_chord(text: str, parsed: Parsed, place: Place) -> Edit:
    """Take a chord out; the one before it in the bar rings on, or the next comes earlier.

    A chord alone in its bar becomes a rest.
    """
    bar = bar_at(parsed, place.part, place.bar)
    gone = event_at(parsed, place)
    events = [*bar.chords[: place.event], *bar.chords[place.event + 1 :]]
    if not events:
        events = [ChordEvent(gone.offset, gone.length, None)]
    elif place.event:
        before = events[place.event - 1]
        events[place.event - 1] = replace(before, length=before.length + gone.length)
    else:
        first = events[0]
        events[0] = replace(first, offset=gone.offset, length=first.length + gone.length)
    return _rewritten(text, parsed, place, events)


def _one_word(word: str) -> str:
    if not _WORD.fullmatch(word):
        raise InputError(
            f"{word!r} is no word of the chart", field="word",
            remedy="give a symbol, a grip or the name of one, without spaces",
        )  # fmt: skip
    return word


def _new_word(text: str, parsed: Parsed, place: Place, **changed: str) -> Edit:
    """Return the edit that changes pieces of a chord's word: push, body, doubt, label."""
    event_at(parsed, place)
    span = parsed.spans.get(("chord", *place))
    if span is None:
        return _new_word_in_same(text, parsed, place, **changed)
    word = _with_pieces(text[span.start : span.end], **changed)
    return merged(text, [(span, word)])


def _with_pieces(word: str, **changed: str) -> str:
    match = ITEM.fullmatch(word)
    assert match is not None
    pieces = {
        "push": match[1], "body": match[2], "doubt": match[3] or "",
        "label": f"@{match[4]}" if match[4] else "",
    }  # fmt: skip
    if "body" in changed:
        pieces["doubt"] = ""
    return "".join({**pieces, **changed}.values())


def _new_word_in_same(text: str, parsed: Parsed, place: Place, **changed: str) -> Edit:
    """Write a ``same`` bar out in full, with one of its words changed."""
    bar = bar_at(parsed, place.part, place.bar)
    book = {chord.name: chord for chord in parsed.draft.grips}
    event = bar.chords[place.event]
    word = _with_pieces(chord_word(event.chord, book) if event.chord else "rest", **changed)
    return _rewritten(text, parsed, place, bar.chords, {place.event: word})


def _rewritten(
    text: str,
    parsed: Parsed,
    place: Place,
    events: Sequence[ChordEvent],
    words: dict[int, str] | None = None,
) -> Edit:
    """Return the edit that writes a bar's chords anew; its marks in parentheses stay."""
    span, new = bar_change(text, parsed, place.part, place.bar, events, words)
    return merged(text, [(span, new)])


def bar_change(
    text: str,
    parsed: Parsed,
    part: str,
    index: int,
    events: Sequence[ChordEvent],
    words: dict[int, str] | None = None,
) -> tuple[Span, str]:
    """Return the span of a bar's chords and their new writing; ``words`` fix some of them."""
    bar = bar_at(parsed, part, index)
    book = {chord.name: chord for chord in parsed.draft.grips}
    new = " ".join(chart_words(events, Ruler(bar.metre, bar.length), book, words))
    cell = parsed.spans["bar", part, index]
    found = tokens(Token(text[cell.start : cell.end], cell.start))
    items = [word for word in found if not word.text.startswith("(")]
    if not items:
        return Span(cell.end, cell.end), f" {new}"
    inside = Span(items[0].start, items[-1].span.end)
    marks = [word for word in found if word.text.startswith("(")]
    stray = [mark.text for mark in marks if inside.start < mark.start < inside.end]
    return inside, " ".join([*stray, new])
