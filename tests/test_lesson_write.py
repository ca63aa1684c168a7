"""Canonical text: what is written is read back as the same lesson."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from gripwright.errors import LessonError
from gripwright.lesson.model import FOUR_FOUR, Bar, ChordEvent, Lesson, Part
from gripwright.lesson.text import parse, read_lesson
from gripwright.lesson.write import number_text, write_lesson
from lesson_strategies import lessons

TYPED = sorted(Path(__file__).parent.glob("lessons/*.md"))
DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.md"))


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(lessons())
def test_any_lesson_comes_back_from_its_own_text(lesson: Lesson) -> None:
    """Reading canonical text gives the lesson that was written."""
    parsed = parse(write_lesson(lesson))
    assert [str(problem) for problem in parsed.problems] == []
    assert parsed.lesson == lesson


def test_there_are_ten_typed_lessons_and_two_demos() -> None:
    """The sets below are not empty."""
    assert len(TYPED) == 10
    assert len(DEMOS) == 2


@pytest.mark.parametrize("path", [*TYPED, *DEMOS], ids=lambda path: path.stem)
def test_a_typed_lesson_survives_canonical_writing(path: Path) -> None:
    """A lesson typed by hand says the same in canonical text."""
    lesson = read_lesson(path).lesson
    assert lesson is not None
    assert parse(write_lesson(lesson)).lesson == lesson


@pytest.mark.parametrize("path", [*TYPED, *DEMOS], ids=lambda path: path.stem)
def test_canonical_text_is_its_own_canonical_text(path: Path) -> None:
    """Writing twice changes nothing."""
    lesson = read_lesson(path).lesson
    assert lesson is not None
    once = write_lesson(lesson)
    again = parse(once).lesson
    assert again is not None
    assert write_lesson(again) == once


def test_a_push_that_no_mark_says_is_refused() -> None:
    """The writer says so where the grammar has no words."""
    bar = Bar(FOUR_FOUR, Fraction(4), (ChordEvent(Fraction(0), Fraction(4), None, Fraction(1, 3)),))
    with pytest.raises(LessonError, match="push of 1/3"):
        write_lesson(Lesson("T", parts=(Part("A", (bar,)),), order=("A",)))


def test_numbers_are_written_as_people_write_them() -> None:
    """Exact decimals as decimals, others as fractions."""
    assert [number_text(Fraction(x)) for x in ("92.5", "1/3", "120")] == ["92.5", "1/3", "120"]
