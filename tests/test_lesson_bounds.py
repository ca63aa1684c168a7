"""What a lesson may hold: names that fit a page, hours that fit a day, signs that can be seen."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from gripwright.errors import LessonError
from gripwright.lesson.bounds import MAX_PLAYED_BARS
from gripwright.lesson.front import MAX_TITLE
from gripwright.lesson.text import MAX_BYTES, MAX_PART_NAME, Parsed, parse, read_text

PART = "```part {}\n{}\n```\n"


def read(front: str = "", name: str = "A", bars: str = "| C |", title: str = "T") -> Parsed:
    """Read a small lesson."""
    return parse(f"---\ntitle: {title}\n{front}---\n{PART.format(name, bars)}")


def problem(parsed: Parsed) -> tuple[str, int, int]:
    """Return code, line and column of the only problem, which says what to do."""
    (found,) = parsed.problems
    assert found.suggestion
    return found.code, found.line, found.column


@pytest.mark.parametrize("front", ["tempo: 30\n", "tempo: 400\n"])
def test_a_usual_song_is_within_bounds(front: str) -> None:
    """Slow or fast, twenty minutes of it."""
    assert read(f"{front}order: A x99, A x51\n").problems == ()


@pytest.mark.parametrize("order", [", ".join(["A"] * 100_000), ", ".join(["A x99"] * 60_000)])
def test_an_order_of_days_is_told_where_it_stands(order: str) -> None:
    """Not built for hours."""
    assert problem(read(f"order: {order}\n")) == ("too-long", 3, 8)


def test_two_hours_are_allowed_and_a_bar_more_is_not() -> None:
    """By arithmetic: 40 beats a minute are 10 bars of 4/4, 1,200 in two hours."""
    inside = read("tempo: 40\n", bars="| (repeat) C |\n" + "| C " * 10 + "| C (x99) |\n| C |\n")
    assert inside.problems == ()
    bars = "| C " * 1200 + "|"
    assert read("tempo: 40\n", bars=bars).problems == ()
    assert problem(read("tempo: 40\n", bars=f"{bars} C |")) == ("too-long", 3, 8)


def test_nested_hours_of_repeats_are_counted_quickly() -> None:
    """Each bar 99 times, without unrolling more than the limit."""
    bars = "| (repeat) C (x99) " * 3000 + "|"
    found = read("tempo: 400\n", bars=bars)
    assert problem(found)[0] == "too-long"
    assert f"{MAX_PLAYED_BARS:,}" in found.problems[0].message


def test_a_song_too_long_leaves_a_draft_that_can_be_drawn() -> None:
    """Each part once."""
    assert read(f"order: {', '.join(['A'] * 50_000)}\n").draft.order == ("A",)


@pytest.mark.parametrize(
    ("front", "title", "name", "code"),
    [
        ("", "T" * (MAX_TITLE + 1), "A", "too-long"),
        (f"subtitle: {'s' * (MAX_TITLE + 1)}\n", "T", "A", "too-long"),
        ("", "T", "P" * (MAX_PART_NAME + 1), "part-name"),
    ],
)
def test_names_that_leave_the_page_are_problems(
    front: str, title: str, name: str, code: str
) -> None:
    """A part's name and a title have room, not for ever."""
    assert code in [p.code for p in read(front, name=name, title=title).problems]


def test_names_that_just_fit_pass() -> None:
    """The limits themselves are allowed."""
    assert read(name="P" * MAX_PART_NAME, title="T" * MAX_TITLE).problems == ()


@pytest.mark.parametrize("sign", ["\u202e", "\u2066", "\x1b", "\x0b", "\x85", "\u2028"])
def test_invisible_signs_are_refused_where_they_stand(sign: str) -> None:
    """Overrides of direction (Unicode Annex 9, section 2) and control characters."""
    assert problem(read(title=f"One{sign} Two")) == ("sign", 2, 11)


def test_other_scripts_are_welcome() -> None:
    """Right-to-left letters and a joiner are no invisible signs of direction."""
    assert read(title="שיר של ערב", name="פזמון").problems == ()


def test_old_line_ends_are_told() -> None:
    """A file that knows only CR says so once."""
    codes = [p.code for p in parse("---\rtitle: T\r---\r```part A\r| C |\r```\r").problems]
    assert codes.count("line-ends") == 1


@pytest.mark.parametrize(
    ("front", "code"),
    [
        ("pickup: 99/8\n", "pickup"), ("pickup: 5/4\n", "pickup"), ("level: 99\n", "level"),
        ("level: hard\n", "level"), ("tempo: ٨٤\n", "tempo"), ("metre: ٣/٤\n", "metre"),
        ("capo: ٣\n", "capo"), ("swing: ٢/٣\n", "swing"), ("pickup: ٣/٨\n", "pickup"),
        ("key:\n", "key"), ("title: U\n", "field-twice"),
    ],
)  # fmt: skip
def test_values_out_of_place_are_problems(front: str, code: str) -> None:
    """Each at its field, with what would be right."""
    found = read(front).problems
    assert [p.code for p in found] == [code]
    assert found[0].line == 3
    assert found[0].suggestion


def test_a_pickup_of_a_whole_bar_passes() -> None:
    """It is no longer than the bar."""
    assert read("pickup: 4/4\n").problems == ()


@pytest.mark.parametrize("path", ["/dev/zero", "/dev/null", "/"])
def test_only_a_plain_file_is_read(path: str) -> None:
    """Nothing is read from a device or a folder, which the message names."""
    with pytest.raises(LessonError, match=r"is a (device|folder)") as raised:
        read_text(Path(path))
    assert raised.value.message.startswith(Path(path).name or path)
    assert raised.value.remedy


def test_a_pipe_is_refused_without_waiting(tmp_path: Path) -> None:
    """Nobody writes to it, and reading it would hang."""
    os.mkfifo(tmp_path / "song.md")
    with pytest.raises(LessonError, match=r"song\.md is a pipe"):
        read_text(tmp_path / "song.md")


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    """A terabyte that takes no room on the disk."""
    with (tmp_path / "song.md").open("wb") as out:
        out.truncate(10**12)
    with pytest.raises(LessonError, match=f"at most {MAX_BYTES:,}"):
        read_text(tmp_path / "song.md")
