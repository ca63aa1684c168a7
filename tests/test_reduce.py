"""A part for other hands brought onto the neck."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.errors import SearchError
from gripwright.formats.notes import TimedNote
from gripwright.lesson.reduced import Source, lesson_of_part
from gripwright.lesson.text import parse
from gripwright.lesson.write import write_lesson
from gripwright.neck.effort import Player
from gripwright.voicing.arrange import Wanted
from gripwright.voicing.limits import Limits
from gripwright.voicing.reduce import reduce_stacks
from gripwright.voicing.stacks import stacks_of

KEYS = [(48, 55, 59, 64), (45, 52, 55, 60, 64), (50, 57, 60, 65), (43, 53, 59, 62, 65, 67)]


def notes(*stacks: tuple[int, ...], length: int = 4) -> list[TimedNote]:
    """Return stacks as notes, one after the other."""
    return [
        TimedNote(Fraction(length * i), Fraction(length), midi)
        for i, stack in enumerate(stacks)
        for midi in stack
    ]


@given(st.lists(st.lists(st.integers(40, 79), min_size=3, max_size=7, unique=True),
                min_size=1, max_size=2))  # fmt: skip
@settings(max_examples=12, deadline=None)
def test_every_note_is_kept_moved_or_dropped(stacks: list[list[int]]) -> None:
    """What sounds is the stack with the moved notes moved and the dropped ones gone."""
    found = reduce_stacks(stacks, Player(), [2.0] * len(stacks))
    for stack, kept, one in zip(stacks, found.kept, found.arrangement.grips, strict=True):
        moved = dict(kept.moved)
        assert not set(moved) & set(kept.dropped)
        left = {moved.get(midi, midi) for midi in stack if midi not in kept.dropped}
        assert set(one.midis) == left
        assert all((a - b) % 12 == 0 for a, b in kept.moved)


@pytest.mark.parametrize("stack", KEYS)
def test_bass_top_and_guide_tones_stay(stack: tuple[int, ...]) -> None:
    """Voicings of one hand's width keep bass and top in place, thirds and sevenths somewhere."""
    found = reduce_stacks([stack], Player(), [2.0])
    midis = found.arrangement.grips[0].midis
    assert (min(midis), max(midis)) == (stack[0], stack[-1])
    guides = {(m - stack[0]) % 12 for m in stack} & {3, 4, 10, 11}
    assert guides <= {(m - stack[0]) % 12 for m in midis}


def test_a_bass_too_far_down_moves_up_by_octaves() -> None:
    """C2 lies below the neck; the top line stays."""
    found = reduce_stacks([(36, 55, 64, 71)], Player(), [2.0])
    assert (36, 48) in found.kept[0].moved
    assert max(found.arrangement.grips[0].midis) == 71


def test_fifths_and_doublings_go_first() -> None:
    """Of two hands' notes the root's doubling or the fifth is dropped, not the seventh."""
    found = reduce_stacks([(43, 50, 53, 55, 59, 62, 65, 67)], Player(), [2.0])
    assert not {(m - 43) % 12 for m in found.kept[0].dropped} & {10, 4}


def test_stacks_follow_the_onsets() -> None:
    """Notes struck nearly together are one stack; a held chord under a new note is told anew."""
    q = Fraction(1)
    played = [TimedNote(Fraction(0), 2 * q, 60), TimedNote(Fraction(1, 20), 2 * q, 64),
              TimedNote(q, q, 67), TimedNote(4 * q, q, 60)]  # fmt: skip
    stacks = stacks_of(played)
    assert [(s.start, s.midis) for s in stacks] == [
        (0, (60, 64)), (1, (60, 64, 67)), (2, ()), (4, (60,))
    ]  # fmt: skip


def test_a_part_becomes_a_lesson_that_reads_back() -> None:
    """Same bars, same grips, named; the text parses without problems."""
    part = lesson_of_part(notes(*KEYS, length=3), Source(title="Keys"), Player())
    text = write_lesson(part.lesson)
    parsed = parse(text)
    assert parsed.problems == () and parsed.lesson == part.lesson
    assert len(part.lesson.parts[0].bars) == 3
    assert part.lesson.grips[0].name == "Cmaj7" and part.lesson.grips[0].fingers


def test_a_chord_across_the_barline_rings_on() -> None:
    """Six quarters from the start: a whole bar, then two quarters unstruck and a rest."""
    part = lesson_of_part(notes(KEYS[0], length=6), Source(), Player())
    first, second = part.lesson.parts[0].bars
    assert [e.length for e in first.chords] == [4]
    assert [(e.struck, e.chord is None, e.length) for e in second.chords] == [
        (False, False, 2), (True, True, 2)
    ]  # fmt: skip


def test_two_voicings_of_a_chord_get_two_names() -> None:
    """The second voicing is marked, and both are set out."""
    part = lesson_of_part(notes((48, 55, 60, 64), (48, 52, 55, 60)), Source(), Player())
    assert [chord.name for chord in part.lesson.grips] == ["C", "C'"]


def test_a_low_level_gives_up_guide_tones_last() -> None:
    """A beginner keeps bass and top of a stack of sevenths; what is gone is told."""
    wanted = Wanted(Limits(level=1))
    found = reduce_stacks([(48, 52, 59, 64), (45, 55, 60, 64)], Player(), [2.0, 2.0], wanted)
    for stack, kept in zip(((48, 64), (45, 64)), found.kept, strict=True):
        assert not set(stack) & set(kept.dropped)
    assert all(one.effort.total <= 0.4 for one in found.arrangement.grips)


def test_a_single_note_is_named_as_one() -> None:
    """A melody note under no chord is no symbol."""
    part = lesson_of_part(notes((60,), (64,)), Source(), Player())
    assert [(c.name, c.symbol) for c in part.lesson.grips] == [("note", None), ("note'", None)]
    assert parse(write_lesson(part.lesson)).problems == ()


def test_a_part_without_notes_is_refused() -> None:
    """There is nothing to arrange."""
    with pytest.raises(SearchError, match="has 0 chords"):
        lesson_of_part([], Source(), Player())
