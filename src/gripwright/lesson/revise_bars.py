"""Change bars: insert, replace, delete, copy and move them, their licks with them.

A bar of the chart stands above its licks, cell over cell; both change together. A later bar
that leans on a changed one (``same``, or a first ``/`` or ``_``) is written out in full, so that
no other chord changes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from gripwright.errors import InputError
from gripwright.lesson.edit import Edit, apply_edit, merged
from gripwright.lesson.lexer import tokens
from gripwright.lesson.model import ChordEvent
from gripwright.lesson.parts import MAX_VOICES
from gripwright.lesson.revise import bar_at, bar_change
from gripwright.lesson.source import Span, Token, text_sha256
from gripwright.lesson.text import Parsed, parse

Change = tuple[Span, str]
_OWN_TIME = re.compile(r"\((?:[0-9]+/|only )")
_SAME = re.compile(r"same(?:\s+([0-9]+))?")


def set_bar(text: str, parsed: Parsed, part: str, index: int, cell: str) -> Edit:
    """Replace what stands between a bar's barlines in the chart."""
    bar_at(parsed, part, index)
    changes = [(parsed.spans["bar", part, index], _one_cell(cell))]
    return merged(text, [*changes, *leaning(text, parsed, part, index, index + 1)])


def insert_bar(text: str, parsed: Parsed, part: str, index: int, cell: str = "rest") -> Edit:
    """Insert a bar before bar ``index``; an index past the last one appends."""
    return _insert(text, parsed, part, index, _one_cell(cell), ())


def delete_bar(text: str, parsed: Parsed, part: str, index: int) -> Edit:
    """Take a bar out; raises InputError for the only bar of a part."""
    bar_at(parsed, part, index)
    if len(parsed.draft.part(part).bars) == 1:
        raise InputError(
            f"{part!r} has only this bar", field="bar", at=index,
            remedy="make it a rest, or delete the part",
        )  # fmt: skip
    lines = _lines(text, parsed, part, index)
    place = _row_place(text, parsed, part, index)
    if len(lines[0]) == 1:
        start = _line_start(text, lines[0][0].start)
        end = text.find("\n", lines[-1][0].end) + 1
        changes: list[Change] = [(Span(start, end), "")]
    else:
        changes = [(_cell_out(line, place), "") for line in lines if place < len(line) > 1]
        changes += [(line[0], "") for line in lines if place == 0 and len(line) == 1]
    return merged(text, [*changes, *leaning(text, parsed, part, index, index + 1)])


def copy_bar(
    text: str, parsed: Parsed, part: str, index: int, before: int, *, labels: bool = False
) -> Edit:
    """Insert a copy of a bar, chords and licks, before bar ``before`` of the same part.

    The copy has no marks of repeats and endings, and labels only where asked for, since a
    lesson has each label once.
    """
    bar = bar_at(parsed, part, index)
    cell = parsed.spans["bar", part, index]
    words = tokens(Token(text[cell.start : cell.end], cell.start))
    marks = [w.text for w in words if _OWN_TIME.match(w.text)]
    chords = [replace(e, label=e.label if labels else None) for e in _struck(bar.chords)]
    _, new = bar_change(text, parsed, part, index, chords)
    licks = [text[at.start : at.end] for at in _lick_cells(parsed, part, index)]
    return _insert(text, parsed, part, before, " ".join([*marks, new]), licks)


def move_bar(text: str, parsed: Parsed, part: str, index: int, before: int) -> Edit:
    """Move a bar, chords and licks, to stand before bar ``before`` of the same part."""
    bar_at(parsed, part, index)
    if before in (index, index + 1):
        at = parsed.spans["bar", part, index].start
        return Edit(text_sha256(text), at, at, "")
    copied = apply_edit(text, copy_bar(text, parsed, part, index, before, labels=True))
    gone = index + (1 if before <= index else 0)
    after = apply_edit(copied, delete_bar(copied, parse(copied), part, gone))
    return difference(text, after)


def difference(text: str, after: str) -> Edit:
    """Return the smallest edit that turns one text into another.

    >>> edit = difference("a b c", "a z c")
    >>> edit.start, edit.end, edit.text
    (2, 3, 'z')
    """
    limit = min(len(text), len(after))
    start = next((i for i in range(limit) if text[i] != after[i]), limit)
    tail = next((i for i in range(limit - start) if text[-1 - i] != after[-1 - i]), limit - start)
    return Edit(text_sha256(text), start, len(text) - tail, after[start : len(after) - tail])


def _one_cell(cell: str) -> str:
    if not cell.strip() or "|" in cell or "\n" in cell or "```" in cell:
        raise InputError(
            f"{cell!r} is not what stands between two barlines", field="cell",
            remedy="write chords, /, _ or rest, without |",
        )  # fmt: skip
    return cell.strip()


def _insert(
    text: str, parsed: Parsed, part: str, index: int, cell: str, licks: Sequence[str]
) -> Edit:
    bar_at(parsed, part, 0)
    bars = len(parsed.draft.part(part).bars)
    index = min(max(index, 0), bars)
    model = min(index, bars - 1)
    place = _row_place(text, parsed, part, model)
    lines = _lines(text, parsed, part, model)
    changes: list[Change] = []
    cells = [cell, *licks]
    for number, line in enumerate(lines):
        new = cells[number] if number < len(cells) else ""
        if place >= len(line):
            if new:
                gap = place - len(line) + (2 if index > model else 1)
                changes.append((Span(line[-1].end, line[-1].end), f"{' |' * gap} {new}"))
            continue
        at = line[place].start if index <= model else line[place].end
        said = f"{new} | " if index <= model else f" | {new}"
        changes.append((Span(at, at), said))
    for number in range(len(lines), len(cells)):
        changes.append(_new_lick_line(text, lines, place + (index > model), cells[number]))
    return merged(text, [*changes, *leaning(text, parsed, part, index, index)])


def _new_lick_line(text: str, lines: Sequence[Sequence[Span]], place: int, cell: str) -> Change:
    end = text.find("\n", lines[-1][-1].end)
    return Span(end, end), f"\nlick | {'| ' * place}{cell} |"


def leaning(text: str, parsed: Parsed, part: str, index: int, first: int) -> Iterable[Change]:
    """Yield changes that write out the bars from ``first`` on that lean on bars before them."""
    bars = parsed.draft.part(part).bars
    for later in range(first, len(bars)):
        span = parsed.spans["bar", part, later]
        items = [
            w for w in tokens(Token(text[span.start : span.end], span.start))
            if not w.text.startswith("(")
        ]  # fmt: skip
        if not items or not bars[later].chords:
            continue
        same = _SAME.fullmatch(" ".join(item.text for item in items))
        back = int(same[1] or 1) if same else 0
        leans = later == first and re.match(r"<*[/_]", items[0].text)
        if leans or (same and later - back <= index):
            yield bar_change(text, parsed, part, later, _struck(bars[later].chords))


def _struck(chords: Sequence[ChordEvent]) -> list[ChordEvent]:
    """Return events of which the first is struck, whatever it leaned on."""
    return [replace(event, struck=event.struck or not i) for i, event in enumerate(chords)]


def _lines(text: str, parsed: Parsed, part: str, index: int) -> list[list[Span]]:
    """Return the cells of the chart line that holds a bar, and of the lick lines beneath."""
    bars = len(parsed.draft.part(part).bars)
    home = _line_start(text, parsed.spans["bar", part, index].start)
    row = [i for i in range(bars) if _line_start(text, parsed.spans["bar", part, i].start) == home]
    chart = [parsed.spans["bar", part, i] for i in row]
    lines = [chart]
    for voice in range(MAX_VOICES):
        cells = [parsed.spans.get(("lick", part, i, voice)) for i in row]
        found = [cell for cell in cells if cell is not None]
        if not found:
            break
        lines.append(found)
    return lines


def _row_place(text: str, parsed: Parsed, part: str, index: int) -> int:
    """Return which cell of its line a bar is."""
    home = _line_start(text, parsed.spans["bar", part, index].start)
    return sum(_line_start(text, parsed.spans["bar", part, i].start) == home for i in range(index))


def _lick_cells(parsed: Parsed, part: str, index: int) -> list[Span]:
    cells = (parsed.spans.get(("lick", part, index, voice)) for voice in range(MAX_VOICES))
    return [cell for cell in cells if cell is not None]


def _cell_out(line: Sequence[Span], place: int) -> Span:
    """Return what to take out of a line so that a cell and one of its barlines go."""
    if place + 1 < len(line):
        return Span(line[place].start, line[place + 1].start)
    return Span(line[place - 1].end, line[place].end)


def _line_start(text: str, at: int) -> int:
    return text.rfind("\n", 0, at) + 1
