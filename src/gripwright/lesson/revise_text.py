"""Change what is not a bar: front matter, prose, grips, fingers and parts.

Like `revise`, each function returns the `Edit` that does it and leaves the rest as it is.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from gripwright.errors import InputError
from gripwright.lesson.capo import names_up
from gripwright.lesson.chart import ITEM
from gripwright.lesson.edit import Edit, merged
from gripwright.lesson.lexer import lines_of
from gripwright.lesson.marks import doubt_text
from gripwright.lesson.model import Chord, Finger
from gripwright.lesson.source import Span
from gripwright.lesson.text import Parsed
from gripwright.lesson.write import fingers_text, grip_lines
from gripwright.neck.grip import Grip
from gripwright.theory.symbol import ChordSymbol


def set_front(text: str, parsed: Parsed, field: str, value: str | None) -> Edit:
    """Set a field of the front matter, add it, or take it out (None)."""
    if "\n" in (value or "") or not re.fullmatch(r"[A-Za-z][\w-]*", field):
        raise InputError(
            f"{field!r} cannot be set to {value!r}", field=field, remedy="write one line"
        )
    span = parsed.spans.get(("front", field))
    if span is not None:
        if value is not None:
            return merged(text, [(_with_space(text, span), f" {value.strip()}")])
        start = text.rfind("\n", 0, span.start) + 1
        return merged(text, [(Span(start, text.find("\n", span.end) + 1), "")])
    lines = lines_of(text)
    if lines[0].text.strip() != "---":
        return merged(text, [(Span(0, 0), f"---\n{field}: {value or ''}\n---\n\n")])
    closing = next((line for line in lines[1:] if line.text.strip() == "---"), lines[1])
    new = f"{field}: {value.strip()}\n" if value is not None else ""
    return merged(text, [(Span(closing.start, closing.start), new)])


def _with_space(text: str, span: Span) -> Span:
    """Return the span with the blanks before it, back to the colon."""
    start = span.start
    while text[start - 1] in " \t":
        start -= 1
    return Span(start, span.end)


def set_prose(text: str, parsed: Parsed, index: int, markdown: str) -> Edit:
    """Replace a stretch of prose, counted from 0 in the order of the file."""
    span = parsed.spans.get(("prose", index))
    if span is None:
        raise InputError(
            f"there is no prose {index}", field="prose", at=index, remedy="read the lesson again"
        )
    return merged(text, [(span, markdown.strip("\n"))])


def add_prose(text: str, parsed: Parsed, markdown: str, after_part: str | None = None) -> Edit:
    """Put a stretch of prose after a part, or at the end of the file."""
    span = _part_span(parsed, after_part) if after_part else Span(len(text), len(text))
    lead = "\n\n" if after_part or not text.endswith("\n") else "\n"
    said = markdown.strip("\n")
    tail = "" if after_part else "\n"
    return merged(text, [(Span(span.end, span.end), f"{lead}{said}{tail}")])


def add_grip(
    text: str,
    parsed: Parsed,
    name: str,
    grip: Grip,
    *,
    symbol: ChordSymbol | None = None,
    fingers: tuple[Finger | None, ...] | None = None,
) -> Edit:
    """Set a grip out, at the end of the last ``grips`` block, or in a new one before the parts.

    ``symbol`` is what it says where its name is no chord symbol.
    """
    names = [chord.name for chord in parsed.draft.grips]
    if name in names or not re.fullmatch(r"[^\s|?@<={}()`][^\s|?@<={}`]*", name):
        raise InputError(
            f"{name!r} cannot be the name of a new grip", field="name",
            remedy=f"use a free name, such as {name}'",
        )  # fmt: skip
    width = max([len(n) for n in (*names, name)]) + 2
    lines = "\n".join(grip_lines(Chord(name, symbol, grip, fingers), width, names_up(parsed.draft)))
    places = [parsed.spans[key] for key in parsed.spans if key[0] in ("grip", "fingers")]
    if places:
        end = max(span.end for span in places)
        end = text.find("\n", end) if "\n" in text[end:] else len(text)
        return merged(text, [(Span(end, end), f"\n{lines}")])
    block = f"```grips\n{lines}\n```\n\n"
    starts = [span.start for key, span in parsed.spans.items() if key[0] == "part"]
    at = min(starts, default=len(text))
    lead = "" if starts or text.endswith("\n\n") else "\n"
    return merged(text, [(Span(at, at), lead + block)])


def set_grip(text: str, parsed: Parsed, name: str, grip: Grip) -> Edit:
    """Change the frets of a grip set out; its fingers go, for they belong to other frets."""
    chord, span = _entry(parsed, name)
    assert chord.grip is not None
    written = text[span.start : span.end]
    at = span.start + written.index(chord.grip.text, len(name))
    changes = [(Span(at, at + len(chord.grip.text)), grip.text)]
    fingers = parsed.spans.get(("fingers", name))
    if fingers is not None:
        start = text.rfind("\n", 0, fingers.start) + 1
        changes.append((Span(start, text.find("\n", fingers.end) + 1), ""))
    return merged(text, changes)


def set_fingers(text: str, parsed: Parsed, name: str, fingers: tuple[Finger | None, ...]) -> Edit:
    """Set the fingers of a grip set out, beneath it in the same places."""
    chord, span = _entry(parsed, name)
    if chord.grip is None or len(fingers) != len(chord.grip):
        raise InputError(
            f"{name!r} needs one finger or none for each string", field="fingers",
            remedy="use T 1 2 3 4, and none where no finger is",
        )  # fmt: skip
    said = fingers_text(replace(chord, fingers=fingers))
    present = parsed.spans.get(("fingers", name))
    if present is not None:
        return merged(text, [(present, said)])
    written = text[span.start : span.end]
    column = span.start - (text.rfind("\n", 0, span.start) + 1)
    column += written.index(chord.grip.text, len(name))
    end = text.find("\n", span.end) if "\n" in text[span.end :] else len(text)
    return merged(text, [(Span(end, end), f"\n{' ' * column}{said}")])


def rename_grip(text: str, parsed: Parsed, name: str, new: str) -> Edit:
    """Rename a grip where it is set out and wherever the chart says it."""
    _, span = _entry(parsed, name)
    if any(entry.name == new for entry in parsed.draft.grips):
        raise InputError(f"{new!r} is already set out", field="name", remedy="use another name")
    if not re.fullmatch(r"[^\s|?@<={}()`][^\s|?@<={}`]*", new):
        raise InputError(f"{new!r} cannot name a grip", field="name", remedy="use one word")
    changes = [(Span(span.start, span.start + len(name)), new)]
    for key, at in parsed.spans.items():
        if key[0] == "chord":
            match = ITEM.fullmatch(text[at.start : at.end])
            if match and match[2] == name:
                start = at.start + match.start(2)
                changes.append((Span(start, start + len(name)), new))
    return merged(text, changes)


def set_grip_doubt(text: str, parsed: Parsed, name: str, mark: str) -> Edit:
    """Set the doubt mark of a grip set out: ``?``, ``?1:12``, or nothing to settle it."""
    chord, span = _entry(parsed, name)
    written = text[span.start : span.end]
    old = doubt_text(chord.doubt)
    at = written.rindex("?") if old else len(written)
    return merged(text, [(Span(span.start + at, span.end), mark)])


def add_part(text: str, parsed: Parsed, name: str, cells: Sequence[str]) -> Edit:
    """Add a part at the end of the file; an ``order`` in the front matter gets it too."""
    if name in [part.name for part in parsed.draft.parts] or not re.fullmatch(r"[^\n,`]+", name):
        raise InputError(
            f"{name!r} cannot be the name of a new part", field="name",
            remedy="use a free name without commas",
        )  # fmt: skip
    lead = "" if text.endswith("\n\n") else "\n" if text.endswith("\n") else "\n\n"
    block = f"{lead}```part {name.strip()}\n| {' | '.join(cells)} |\n```\n"
    changes = [(Span(len(text), len(text)), block)]
    order = parsed.spans.get(("front", "order"))
    if order is not None:
        changes.append((Span(order.end, order.end), f", {name.strip()}"))
    return merged(text, changes)


def delete_part(text: str, parsed: Parsed, name: str) -> Edit:
    """Take a part's block out, and its name out of the order."""
    span = _part_span(parsed, name)
    end = span.end
    while text[end : end + 1] == "\n":
        end += 1
    changes = [(Span(span.start, end), "")]
    order = parsed.spans.get(("front", "order"))
    if order is not None:
        names = [part for part in parsed.draft.order if part != name]
        changes.append((order, ", ".join(names)))
    return merged(text, changes)


def _entry(parsed: Parsed, name: str) -> tuple[Chord, Span]:
    span = parsed.spans.get(("grip", name))
    for chord in parsed.draft.grips:
        if chord.name == name and span is not None:
            return chord, span
    raise InputError(f"no grip is called {name!r}", field="name", remedy="set it out first")


def _part_span(parsed: Parsed, name: str) -> Span:
    span = parsed.spans.get(("part", name))
    if span is None:
        raise InputError(
            f"no part is called {name!r}", field="part", remedy="read the lesson again"
        )
    return span
