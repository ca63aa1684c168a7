"""Chords carried by hand: to a beat, a bar, a part, or by their edge; nothing is lost."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.errors import InputError
from gripwright.lesson.edit import apply_edit, inverse
from gripwright.lesson.model import Bar
from gripwright.lesson.revise import Place
from gripwright.lesson.revise_carry import beats_of, carry_chord, end_chord, pass_chord, stays_of
from gripwright.lesson.text import Parsed, parse

FRONT = "---\ntitle: One\nmetre: {}\n---\n\n```part Verse\n{}\n```\n"


def _read(chart: str, metre: str = "4/4") -> tuple[str, Parsed]:
    text = FRONT.format(metre, chart)
    parsed = parse(text)
    assert not parsed.problems
    return text, parsed


def _chart(text: str) -> str:
    assert not parse(text).problems, parse(text).problems
    return text.split("```part Verse\n")[1].split("\n```")[0]


def _carried(chart: str, source: tuple[int, int], target: tuple[int, int], copy: bool) -> str:
    text, parsed = _read(chart)
    bar, beat = target
    edit = carry_chord(
        text, parsed, Place("Verse", *source), "Verse", bar, at=Fraction(beat), copy=copy
    )
    after = apply_edit(text, edit)
    assert apply_edit(after, inverse(text, edit)) == text
    return _chart(after)


@pytest.mark.parametrize(
    ("chart", "source", "beat", "there"),
    [
        ("| C G Am F |", 0, 2, "| G Am C F |"),
        ("| C G Am F |", 3, 0, "| F C G Am |"),
        ("| C _ G _ |", 0, 2, "| G _ C _ |"),
        ("| C _ G _ |", 0, 3, "| G _ _ C |"),
        ("| C _ G _ |", 1, 1, "| C G _ _ |"),
        ("| C _ G _ |", 0, 1, "| rest C G _ |"),
        ("| C |", 0, 2, "| rest _ C _ |"),
        ("| C / G / |", 0, 2, "| G / C / |"),
        ("| C _ rest _ |", 0, 1, "| rest C _ rest |"),
        ("| C _ _ G |", 1, 1, "| C G _ _ |"),
    ],
)
def test_a_chord_moves_to_a_beat_of_its_bar(chart: str, source: int, beat: int, there: str) -> None:
    """The chord starts on the beat, the others close up, the bar keeps its length."""
    assert _carried(chart, (0, source), (0, beat), False) == there


@pytest.mark.parametrize(
    ("chart", "target", "there"),
    [
        ("| C _ F _ | rest |", (1, 0), "| F | C _ rest _ |"),
        ("| C | rest |", (1, 0), "| rest | C |"),
        ("| C | rest |", (1, 2), "| rest | rest _ C _ |"),
        ("| C | G |", (1, 2), "| rest | G _ C _ |"),
        ("| C | G |", (1, 0), "| rest | C _ G _ |"),
        ("| C F _ _ | G |", (1, 0), "| F | C G _ _ |"),
        ("| C / / / | G / / / |", (1, 2), "| rest | G / C / |"),
        ("| C | same | G |", (2, 2), "| rest | C | G _ C _ |"),
        ("| C | / / F _ | G |", (2, 2), "| rest | C / F _ | G _ C _ |"),
    ],
)
def test_a_chord_moves_to_another_bar(chart: str, target: tuple[int, int], there: str) -> None:
    """It takes what is left of what sounds there, shares where a chord starts, leans on none."""
    assert _carried(chart, (0, 0), target, False) == there


def test_a_copy_leaves_the_first_where_it_is_and_its_label_too() -> None:
    """A lesson has each label once, so a copy comes without it."""
    assert _carried("| C@a | rest |", (0, 0), (1, 1), True) == "| C@a | rest C _ _ |"


def test_a_chord_moves_to_another_part_with_its_push_doubt_and_label() -> None:
    """What is said about the chord goes with it."""
    text = FRONT.format("3/4", "| <C9?@x / / |") + "\n```part Coda\n| rest | F |\n```\n"
    edit = carry_chord(text, parse(text), Place("Verse", 0, 0), "Coda", 1, at=Fraction(1))
    after = apply_edit(text, edit)
    assert "```part Verse\n| rest |" in after
    assert "| rest | F <C9?@x / |" in after


@pytest.mark.parametrize(
    ("chart", "event", "end", "there"),
    [
        ("| C _ G _ |", 0, 3, "| C _ _ G |"),
        ("| C _ G _ |", 0, 1, "| C G _ _ |"),
        ("| C / G / |", 0, 3, "| C / _ G |"),
        ("| C / G / |", 1, 1, "| C G / _ |"),
        ("| C |", 0, 3, "| C _ _ rest |"),
        ("| C _ rest _ |", 0, 4, "| C |"),
    ],
)
def test_an_edge_is_carried(chart: str, event: int, end: int, there: str) -> None:
    """The next chord gives or gets the difference; after the last one there is a rest."""
    text, parsed = _read(chart)
    edit = end_chord(text, parsed, Place("Verse", 0, event), Fraction(end))
    assert _chart(apply_edit(text, edit)) == there


@pytest.mark.parametrize("end", [-1, 0, 4, 5])
def test_an_edge_covers_no_chord(end: int) -> None:
    """A length that leaves a neighbour nothing is refused with a remedy."""
    text, parsed = _read("| C _ G _ |")
    with pytest.raises(InputError, match="no room"):
        end_chord(text, parsed, Place("Verse", 0, 0), Fraction(end))


@pytest.mark.parametrize(
    ("source", "steps", "there"),
    [
        ((0, 0), 1, "| G _ C / | F | rest |"),
        ((0, 2), -1, "| G _ C / | F | rest |"),
        ((0, 2), 1, "| C / _ _ | G _ F _ | rest |"),
        ((1, 0), -1, "| C / G F | rest | rest |"),
        ((1, 0), 1, "| C / G _ | rest | F |"),
    ],
)
def test_a_chord_changes_places_with_its_neighbour(
    source: tuple[int, int], steps: int, there: str
) -> None:
    """The key's step: past the next chord, strokes and all, or over the barline."""
    text, parsed = _read("| C / G _ | F | rest |")
    edit = pass_chord(text, parsed, Place("Verse", *source), steps)
    assert _chart(apply_edit(text, edit)) == there


def test_a_long_chord_passes_a_short_one_whole() -> None:
    """Lengths go with their chords."""
    text, parsed = _read("| C _ _ G |")
    assert (
        _chart(apply_edit(text, pass_chord(text, parsed, Place("Verse", 0, 0), 1))) == "| G C _ _ |"
    )


def test_past_the_ends_of_a_part_or_bar_nothing_is_carried() -> None:
    """The place that is not there is named."""
    text, parsed = _read("| C | G |", "3/4")
    with pytest.raises(InputError, match="does not reach 3"):
        carry_chord(text, parsed, Place("Verse", 0, 0), "Verse", 1, at=Fraction(3))
    with pytest.raises(InputError, match="no bar 3"):
        pass_chord(text, parsed, Place("Verse", 1, 0), 1)


def test_a_bar_that_cannot_be_read_takes_no_chord() -> None:
    """What is there is not known, so nothing is written over it."""
    text = FRONT.format("4/4", "| C | G _ zz _ |")
    with pytest.raises(InputError, match="cannot be read"):
        carry_chord(text, parse(text), Place("Verse", 0, 0), "Verse", 1, at=Fraction(3))


def test_uneven_beats_are_the_metres_own() -> None:
    """7/8 in 2+2+3 has three beats (the metre's definition); a chord lands on each of them."""
    text, parsed = _read("| C | rest |", "7/8 = 2+2+3")
    assert beats_of(parsed.draft.parts[0].bars[1]) == (0, 1, 2)
    edit = carry_chord(text, parsed, Place("Verse", 0, 0), "Verse", 1, at=Fraction(2))
    assert _chart(apply_edit(text, edit)) == "| rest | rest _ C |"


CELLS = st.sampled_from(
    ["C", "C _ G _", "C / G /", "Am F G C", "rest", "rest _ D _", "E by 2 D C by 1 B / "]
)


def _names(bars: tuple[Bar, ...]) -> Counter[str]:
    stays = [stay for bar in bars for stay in stays_of(bar.chords)]
    return Counter(stay[0].chord.name for stay in stays if stay[0].chord)


@given(st.lists(CELLS, min_size=2, max_size=4), st.data())
def test_no_chord_is_lost_or_made_wherever_one_is_carried(
    cells: list[str], data: st.DataObject
) -> None:
    """Whatever is carried where: the same chords, bars of the same length, on the wanted beat."""
    text, parsed = _read(f"| {' | '.join(cells)} |")
    bars = parsed.draft.parts[0].bars
    bar, goal = (data.draw(st.integers(0, len(bars) - 1)) for _ in range(2))
    event = data.draw(st.integers(0, len(bars[bar].chords) - 1))
    beat = data.draw(st.integers(0, 3))
    held = bars[bar].chords[event].chord
    source = Place("Verse", bar, event)
    edit = carry_chord(text, parsed, source, "Verse", goal, at=Fraction(beat))
    after = parse(apply_edit(text, edit))
    assert not after.problems
    now = after.draft.parts[0].bars
    assert set(_names(now)) == set(_names(bars))
    assert all(sum(e.length for e in b.chords) == 4 for b in now)
    assert any(e.offset == beat and e.chord == held for e in now[goal].chords)
