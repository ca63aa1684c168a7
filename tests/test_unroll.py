"""From written to played: repeats, endings, order, pickup."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from gripwright.lesson.model import Lesson
from gripwright.lesson.text import parse
from gripwright.lesson.unroll import pass_order, played_bars, played_events, total_quarters
from lesson_strategies import lessons


def lesson(chart: str, front: str = "") -> Lesson:
    """Return a lesson of one part, or of parts written out."""
    blocks = chart if chart.startswith("```") else f"```part A\n{chart}\n```"
    parsed = parse(f"---\ntitle: T\n{front}---\n{blocks}\n")
    assert parsed.lesson is not None, [str(p) for p in parsed.problems]
    return parsed.lesson


# Playing orders as the marks are read in the trade; common practice, no source.
@pytest.mark.parametrize(
    ("chart", "order"),
    [
        ("| C | D |", "0 1"),
        ("| C | D (x2) |", "0 1 0 1"),
        ("| C | (repeat) D | E (x3) | F |", "0 1 2 1 2 1 2 3"),
        ("| C | (1st) D (x2) | (2nd) E | F |", "0 1 0 2 3"),
        ("| (repeat) C | (1st 2nd) D (x3) | (3rd) E |", "0 1 0 1 0 2"),
        ("| C | (1st) D | (1st) E (x2) | (2nd) F | (2nd) G | A |", "0 1 2 0 3 4 5"),
        ("| C (x2) | (repeat) D (x2) | E |", "0 0 1 1 2"),
        ("| C (x2) | D (x2) |", "0 0 1 1"),
        ("| C | (1st) D (x2) | (2nd) E | (repeat) F | (1st) G (x2) | (2nd) A |",
         "0 1 0 2 3 4 3 5"),
    ],
)  # fmt: skip
def test_repeats_and_endings_unroll(chart: str, order: str) -> None:
    """The bars come by as a reader of the chart would play them."""
    part = lesson(chart).parts[0]
    assert [bar for bar, _ in pass_order(part)] == [int(bar) for bar in order.split()]


def test_passes_are_counted_from_one() -> None:
    """The second time round is pass 2; what follows the repeat is pass 1 again."""
    part = lesson("| C | (1st) D (x2) | (2nd) E | F |").parts[0]
    assert pass_order(part) == ((0, 1), (1, 1), (0, 2), (2, 2), (3, 1))


def test_a_part_played_twice_is_visited_twice() -> None:
    """Visits count, starts go on."""
    text = "```part A\n| C |\n```\n```part B\n| (3/4) G |\n```"
    bars = list(played_bars(lesson(text, "order: A, B, A\n")))
    assert [(b.part, b.visit, b.start) for b in bars] == [("A", 1, 0), ("B", 1, 4), ("A", 2, 7)]


def test_events_have_their_beat_and_their_time() -> None:
    """A push moves what sounds, not what is written."""
    events = played_events(lesson("| C _ G _ | <F |"))
    assert [(e.index, e.beat, e.start, e.sounds_at, e.end) for e in events] == [
        (0, 1, 0, 0, 2), (1, 3, 2, 2, 4), (2, 1, 4, Fraction(7, 2), 8),
    ]  # fmt: skip


def test_the_pickup_has_the_last_beats_of_a_bar() -> None:
    """A pickup of one quarter in 4/4 stands on beat 4."""
    assert played_events(lesson("| C | G |", "pickup: 1/4\n"))[0].beat == 4


def test_the_total_is_the_sum_of_what_is_played() -> None:
    """Pickup, repeats and order included."""
    assert total_quarters(lesson("| C | (repeat) G (x3) |", "pickup: 1/4\norder: A x2\n")) == 26


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(lessons())
def test_any_repeats_unroll_to_an_end(any_lesson: Lesson) -> None:
    """However the marks stand, bars without endings are played and nothing runs on for ever."""
    for part in any_lesson.parts:
        order = pass_order(part)
        reached = {bar for bar, _ in order}
        assert {i for i, bar in enumerate(part.bars) if not bar.endings} <= reached
        assert len(order) <= 3 * len(part.bars)
