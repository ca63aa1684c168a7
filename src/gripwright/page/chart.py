"""The chart of a part laid out in lines of bars, four columns to a line.

A bar takes one column, or more where its chords need the room; a second ending stands under
the first; a single last bar is never left alone on its line. Places are millimetres from the
left of the bar. The template draws what is decided here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from gripwright.draw.symbols import chord_runs, runs_width
from gripwright.lesson.model import Bar, ChordEvent, Lesson, Part
from gripwright.theory.symbol import Run

COLUMNS = 4
COLUMN_MM = 36.0
MM_PER_PT = 25.4 / 72
SIZES_PT = (13.5, 12.0, 10.7)  # the raised two thirds of the least is 7 pt
LEFT_MM, RIGHT_MM, GAP_MM = 2.6, 1.4, 2.2
SIGN_MM = 3.4
METRE_MM = 5.0
CLOSES_MM = {"line": 0.0, "double": 1.2, "final": 1.8, "repeat": 3.6}


@dataclass(frozen=True, slots=True)
class Item:
    """Something at a place in a bar: a symbol, a slash, a rest, or a chord that rings on.

    ``push`` is the arrow's text for a chord that arrives early; ``label`` what prose points at.
    """

    kind: str
    x_mm: float
    runs: tuple[Run, ...] = ()
    push: str = ""
    doubt: bool = False
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """A bar as drawn: its columns, signs and items.

    ``opens`` and ``closes`` are what stands at its left and right: ``line``, ``repeat``,
    ``double`` or ``final``. ``number`` is its number in the part, 0 a pickup.
    """

    number: int
    span: int
    opens: str
    closes: str
    size_pt: float
    items: tuple[Item, ...]
    ticks_mm: tuple[float, ...]
    metre: tuple[str, str] | None
    times: int
    ending: str
    ending_opens: bool
    ending_closes: bool
    note: str
    lick: bool

    @property
    def needs_top(self) -> bool:
        """Return whether something stands above the bar."""
        above = self.ending or self.note or self.times > 2
        return bool(above) or any(item.push for item in self.items)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of bars that starts in the column ``start``."""

    start: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class _Before:
    """What the bar before leaves behind: metre and right-hand pattern."""

    metre: str | None
    hand: str | None


def chart_lines(lesson: Lesson) -> tuple[tuple[Part, tuple[Line, ...]], ...]:
    """Return every part with its lines."""
    before = _Before(None, None)
    laid = []
    last = lesson.order[-1] if lesson.order else None
    for part in lesson.parts:
        cells, before = _cells(part, before, _has_hands(lesson), final=part.name == last)
        laid.append((part, _lines(cells)))
    return tuple(laid)


def _has_hands(lesson: Lesson) -> bool:
    """Return whether bars are played with more than one right-hand pattern."""
    hands = {bar.pattern.name if bar.pattern else "" for part in lesson.parts for bar in part.bars}
    return len(hands) > 1


def is_pickup(part: Part) -> bool:
    """Return whether the first bar of a part is shorter than its metre."""
    return bool(part.bars) and part.bars[0].length < part.bars[0].metre.length


def bar_number(part: Part, index: int) -> int:
    """Return the number of a bar in its part, counted from 1; a pickup is 0."""
    return index + (0 if is_pickup(part) else 1)


def places(lesson: Lesson) -> dict[str, str]:
    """Return where each label is, in words: ``Verse, bar 3``."""
    found = {}
    for part in lesson.parts:
        for index, bar in enumerate(part.bars):
            number = bar_number(part, index)
            at = f"{part.name}, bar {number}" if number else f"{part.name}, pickup"
            found.update({event.label: at for event in bar.chords if event.label})
    return found


def _cells(part: Part, before: _Before, hands: bool, *, final: bool) -> tuple[list[Cell], _Before]:
    cells = []
    for index, bar in enumerate(part.bars):
        metre, hand = _metre(part, index), bar.pattern.name if bar.pattern else ""
        shown = metre if metre != before.metre and not (index == 0 and is_pickup(part)) else None
        note = hand if hands and hand != before.hand else ""
        after = part.bars[index + 1] if index + 1 < len(part.bars) else None
        prior = part.bars[index - 1] if index else None
        cells.append(_cell(bar, prior, after, bar_number(part, index), shown, note, final))
        before = _Before(metre if shown else before.metre, hand)
    return cells, before


def _metre(part: Part, index: int) -> str:
    """Return what a bar's metre is printed as, by its length where it has one of its own."""
    bar = part.bars[index]
    count = bar.length * bar.metre.unit / 4
    if (
        bar.length != bar.metre.length
        and count.denominator == 1
        and not (index == 0 and is_pickup(part))
    ):
        return f"{count}/{bar.metre.unit}"
    return f"{bar.metre.count}/{bar.metre.unit}"


def _cell(
    bar: Bar, prior: Bar | None, after: Bar | None, number: int, metre: str | None, note: str,
    final: bool,
) -> Cell:  # fmt: skip
    sign = (SIGN_MM if bar.repeat_start else 0.0) + (METRE_MM if metre else 0.0)
    closes = "repeat" if bar.repeat_times > 1 else "line"
    if after is None and closes == "line":
        closes = "final" if final else "double"
    items = _items(bar)
    span, size = _room(items, sign + CLOSES_MM[closes])
    wide = span * COLUMN_MM - CLOSES_MM[closes]
    laid = _spread(items, bar, sign, wide, size)
    usable = wide - LEFT_MM - RIGHT_MM - sign
    starts = [at for at in bar.metre.beat_starts if at < bar.length]
    ticks = tuple(LEFT_MM + sign + usable * float(at / bar.length) for at in starts)
    count, _, unit = (metre or "").partition("/")
    return Cell(
        number, span, "repeat" if bar.repeat_start else "line", closes, size, laid, ticks,
        (count, unit) if metre else None, bar.repeat_times, _ending(bar),
        bool(bar.endings) and (prior is None or prior.endings != bar.endings),
        bool(bar.endings) and (after is None or after.endings != bar.endings),
        note, bool(bar.notes),
    )  # fmt: skip


def _ending(bar: Bar) -> str:
    return ", ".join(f"{number}." for number in bar.endings)


def _items(bar: Bar) -> list[tuple[ChordEvent, Item]]:
    """Return what is drawn for each event, not placed yet."""
    items = []
    prior = None
    for event in bar.chords:
        if event.chord is None:
            item = Item("rest", 0.0, (Run("rest"),), label=event.label)
        elif not event.struck:
            item = Item("ring", 0.0, label=event.label)
        elif event.chord == prior:
            item = Item("slash", 0.0, (Run("/"),), _push(event, bar), label=event.label)
        else:
            runs = chord_runs(event.chord)
            doubt = event.chord.doubt is not None
            if doubt:
                runs = (*runs, Run("?"))
            item = Item("symbol", 0.0, runs, _push(event, bar), doubt, event.label)
        prior = event.chord
        items.append((event, item))
    return items


def _push(event: ChordEvent, bar: Bar) -> str:
    """Return the arrow of a chord that arrives early: plain for half a beat."""
    if not event.push:
        return ""
    beat = bar.metre.beats[0]
    share = Fraction(event.push / beat)
    return "←" if share == Fraction(1, 2) else f"← {share}"


def _wide(item: Item, size: float) -> float:
    """Return how wide an item sets, in mm."""
    if item.kind == "ring":
        return 4.0
    if item.kind == "rest":
        return 6.0
    return runs_width(item.runs, size * MM_PER_PT)


def _room(items: Sequence[tuple[ChordEvent, Item]], signs: float) -> tuple[int, float]:
    """Return how many columns a bar takes and the size that its symbols fit at."""
    for span in range(1, COLUMNS + 1):
        usable = span * COLUMN_MM - LEFT_MM - RIGHT_MM - signs
        for size in SIZES_PT:
            wide = sum(_wide(item, size) for _, item in items) + GAP_MM * max(0, len(items) - 1)
            if wide <= usable:
                return span, size
    return COLUMNS, SIZES_PT[-1]


def _spread(
    items: Sequence[tuple[ChordEvent, Item]], bar: Bar, sign: float, wide: float, size: float
) -> tuple[Item, ...]:
    """Place the items at their times, moved apart where they would touch."""
    left, right = LEFT_MM + sign, wide - RIGHT_MM
    at = [left + (right - left) * float(event.offset / bar.length) for event, _ in items]
    widths = [_wide(item, size) for _, item in items]
    for index in range(1, len(at)):
        at[index] = max(at[index], at[index - 1] + widths[index - 1] + GAP_MM)
    edge = right
    for index in reversed(range(len(at))):
        at[index] = min(at[index], edge - widths[index])
        edge = at[index] - GAP_MM
    _even(at, widths, [item.kind for _, item in items], right)
    return tuple(
        Item(item.kind, max(left, x), item.runs, item.push, item.doubt, item.label)
        for x, (_, item) in zip(at, items, strict=True)
    )


def _even(at: list[float], widths: Sequence[float], kinds: Sequence[str], right: float) -> None:
    """Space each run of slashes evenly after its symbol."""
    for index, kind in enumerate(kinds):
        end = next((i for i in range(index + 1, len(kinds)) if kinds[i] != "slash"), len(kinds))
        count = end - index - 1
        if kind == "slash" or not count:
            continue
        low = at[index] + widths[index]
        high = at[end] if end < len(kinds) else right + GAP_MM
        room = (high - low - sum(widths[index + 1 : end])) / (count + 1)
        for step in range(index + 1, end):
            at[step] = low + room
            low = at[step] + widths[step]


def _lines(cells: Sequence[Cell]) -> tuple[Line, ...]:
    """Break a part into lines."""
    lines: list[tuple[int, list[Cell]]] = []
    column, first_ending = COLUMNS, 0
    for index, cell in enumerate(cells):
        later = cell.ending_opens and index and cells[index - 1].ending
        start = first_ending if later and first_ending + cell.span <= COLUMNS else 0
        if cell.number == 0:
            start = COLUMNS - cell.span
        if column + cell.span > COLUMNS or later or _lonely(cells, index, column):
            lines.append((start, []))
            column = start
        if cell.ending_opens and not later:
            first_ending = column
        lines[-1][1].append(cell)
        column += cell.span
    return tuple(Line(start, tuple(row)) for start, row in lines)


def _lonely(cells: Sequence[Cell], index: int, column: int) -> bool:
    """Return whether a bar should begin a line so that the last bar is not left alone."""
    rest = cells[index:]
    return (
        column > 0
        and len(rest) == 2
        and column + rest[0].span == COLUMNS
        and not any(cell.ending for cell in rest)
    )
