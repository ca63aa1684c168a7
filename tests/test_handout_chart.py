"""The chart's layout: which bar stands in which column, and what stands in it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.draw.symbols import runs_width
from gripwright.lesson.text import parse
from gripwright.page.chart import (
    COLUMN_MM,
    COLUMNS,
    MM_PER_PT,
    SIZES_PT,
    Line,
    chart_lines,
    places,
)


def chart(bars: str, front: str = "") -> tuple[Line, ...]:
    """Return the lines of a lesson of one part."""
    parsed = parse(f"---\ntitle: T\n{front}---\n```part Song\n{bars}\n```\n")
    assert parsed.lesson is not None, parsed.problems
    return chart_lines(parsed.lesson)[0][1]


def numbers(lines: tuple[Line, ...]) -> list[list[int]]:
    """Return the bar numbers line by line."""
    return [[cell.number for cell in line.cells] for line in lines]


@pytest.mark.parametrize(
    ("count", "rows"),
    [(1, [[1]]), (4, [[1, 2, 3, 4]]), (5, [[1, 2, 3], [4, 5]]), (6, [[1, 2, 3, 4], [5, 6]]),
     (8, [[1, 2, 3, 4], [5, 6, 7, 8]]), (9, [[1, 2, 3, 4], [5, 6, 7], [8, 9]])],
)  # fmt: skip
def test_four_bars_to_a_line_and_none_alone(count: int, rows: list[list[int]]) -> None:
    """Four to a line; a last bar takes one from the line before it for company."""
    assert numbers(chart("| " + " | ".join(["C"] * count) + " |")) == rows


def test_a_second_ending_stands_under_the_first() -> None:
    """Bars 5 and 6: the endings share a column, the second on a line of its own."""
    lines = chart("| (repeat) C | D | E | (1st) F (x2) | (2nd) G |")
    assert [(line.start, len(line.cells)) for line in lines] == [(0, 4), (3, 1)]
    assert [cell.ending for line in lines for cell in line.cells] == ["", "", "", "1.", "2."]
    assert lines[0].cells[0].opens == lines[0].cells[3].closes == "repeat"


def test_a_pickup_leaves_the_columns_alone() -> None:
    """The pickup stands before the bar line at the right, bar 1 in the first column."""
    lines = chart("| C |\n| D | E | F | G |", front="pickup: 1/4\n")
    assert [(line.start, [cell.number for cell in line.cells]) for line in lines] == [
        (3, [0]), (0, [1, 2, 3, 4])]  # fmt: skip


def test_a_change_of_metre_is_shown_once() -> None:
    """The metre stands at the first bar and wherever it changes."""
    lines = chart("| C | (3/4) D | (3/4) E | F |")
    shown = [cell.metre for line in lines for cell in line.cells]
    assert shown == [("4", "4"), ("3", "4"), None, ("4", "4")]


def test_chords_stand_at_their_beats() -> None:
    """Two chords of two beats each: the second in the middle of the bar."""
    cell = chart("| C | C _ G _ |")[0].cells[1]
    first, second = (item.x_mm for item in cell.items)
    assert second - first == pytest.approx(cell.ticks_mm[2] - cell.ticks_mm[0])
    assert first == pytest.approx(cell.ticks_mm[0])


def test_what_is_drawn_for_each_event() -> None:
    """A struck chord again is a slash, silence a rest, a chord rung over the bar line a dash."""
    lines = chart("| C / rest <D | _ _ / C? |")
    kinds = [[item.kind for item in cell.items] for cell in lines[0].cells]
    assert kinds == [["symbol", "slash", "rest", "symbol"], ["ring", "slash", "symbol"]]
    assert lines[0].cells[0].items[3].push == "←" and lines[0].cells[1].items[2].doubt


def test_a_dense_bar_takes_two_columns() -> None:
    """Four long symbols do not fit one column at 10.7 pt, so the bar is as wide as two."""
    lines = chart("| Cmaj7(#11) Em7(b5) A7(b9,#11) Gmaj7(#11) | C | D |")
    assert lines[0].cells[0].span == 2
    assert all(cell.size_pt in SIZES_PT for line in lines for cell in line.cells)


def test_labels_are_named_by_part_and_bar() -> None:
    """A pointer's place counts the bars of its part from 1, a pickup apart."""
    parsed = parse("---\ntitle: T\npickup: 1/4\n---\n```part Song\n| C@up | D@one | E@two |\n```\n")
    assert parsed.lesson is not None
    assert places(parsed.lesson) == {
        "up": "Song, pickup", "one": "Song, bar 1", "two": "Song, bar 2"}  # fmt: skip


SYMBOLS = st.sampled_from(["C", "/", "rest", "Bbm7(b5)", "A7(b9,#11)", "Gmaj9", "F#m", "Db6/9/F"])
BARS = st.lists(st.lists(SYMBOLS, min_size=4, max_size=4), min_size=1, max_size=12)


@settings(max_examples=80, deadline=None)
@given(BARS)
def test_no_symbols_touch_and_none_leaves_its_bar(bars: list[list[str]]) -> None:
    """Whatever is written, items keep apart inside their bars and lines hold four columns."""
    written = [["C", *bar[1:]] if bar[0] == "/" else bar for bar in bars]
    written[0] = ["C", *written[0][1:]]  # a stroke needs a chord before it in the part
    lines = chart("| " + " | ".join(" ".join(bar) for bar in written) + " |")
    assert [n for row in numbers(lines) for n in row] == list(range(1, len(bars) + 1))
    for line in lines:
        assert line.start + sum(cell.span for cell in line.cells) <= COLUMNS
        for cell in line.cells:
            end = 0.0
            for item in cell.items:
                assert item.x_mm >= end
                size = cell.size_pt * MM_PER_PT
                wide = 6.0 if item.kind == "rest" else runs_width(item.runs, size)
                end = item.x_mm + wide
            assert end <= cell.span * COLUMN_MM
