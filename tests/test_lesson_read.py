"""Reading lesson files: what is there, and every kind of bad input with its place."""

from __future__ import annotations

import time
from fractions import Fraction
from pathlib import Path

import pytest

from gripwright.errors import LessonError
from gripwright.lesson.model import Bar, Doubt, Lesson
from gripwright.lesson.text import MAX_CHARACTERS, Problem, parse, read_lesson

FRONT = "---\ntitle: T\n---\n"
BODY = "```part A\n| C |\n```"
LESSONS = Path(__file__).parent / "lessons"


def lesson_of(blocks: str, front: str = "") -> Lesson:
    """Return the lesson of some blocks; fails with its problems."""
    parsed = parse(f"---\ntitle: T\n{front}---\n{blocks}")
    assert parsed.lesson is not None, [str(problem) for problem in parsed.problems]
    return parsed.lesson


def bars_of(lines: str, front: str = "") -> tuple[Bar, ...]:
    """Return the bars of one part."""
    return lesson_of(f"```part A\n{lines}\n```\n", front).parts[0].bars


def problem_of(text: str) -> Problem:
    """Return the only problem of a text."""
    problems = parse(text).problems
    assert len(problems) == 1, [str(problem) for problem in problems]
    return problems[0]


def timed(bar: Bar) -> list[tuple[str | None, str, str]]:
    """Return name, offset and length of each chord."""
    return [(e.chord and e.chord.name, str(e.offset), str(e.length)) for e in bar.chords]


# What the grammar says


def test_a_chord_lasts_a_beat_and_is_struck_again_or_rings() -> None:
    """A slash strikes again, an underscore rings on."""
    (bar,) = bars_of("| C / G _ |")
    assert timed(bar) == [("C", "0", "1"), ("C", "1", "1"), ("G", "2", "2")]


def test_a_chord_alone_fills_its_bar() -> None:
    """One word is the whole bar."""
    assert timed(bars_of("| C |")[0]) == [("C", "0", "4")]


def test_uneven_beats_give_uneven_chords() -> None:
    """In 7/8 = 2+2+3 the third chord is the long one."""
    (bar,) = bars_of("| C / G |", "metre: 7/8 = 2+2+3\n")
    assert [length for _, _, length in timed(bar)] == ["1", "1", "3/2"]


def test_finer_steps_are_parts_of_a_beat_or_note_values() -> None:
    """``by 3`` divides the beat, ``by 1/8`` does not ask for the beat."""
    bars = bars_of("| by 3 C / / by 1 G _ _ | by 1/8 C _ _ G _ _ C G |")
    assert [length for _, _, length in timed(bars[0])] == ["1/3", "1/3", "1/3", "3"]
    assert [length for _, _, length in timed(bars[1])] == ["3/2", "3/2", "1/2", "1/2"]


@pytest.mark.parametrize(
    ("metre", "one", "two"),
    [
        ("4/4", "1/2", "1/4"),
        ("6/8", "1/2", "1/4"),
        ("2/2", "1", "1/2"),
        ("7/8 = 2+2+3", "1/2", "1/4"),
    ],
)
def test_pushes_arrive_early(metre: str, one: str, two: str) -> None:
    """One mark is half a simple beat or a unit of a compound one, two marks half of that."""
    bars = bars_of("| <C | <<C |", f"metre: {metre}\n")
    assert [str(bar.chords[0].push) for bar in bars] == [one, two]


def test_a_chord_rings_over_the_barline() -> None:
    """A bar that starts with an underscore is not struck."""
    bars = bars_of("| C | _ _ G _ |")
    assert [(e.struck, e.chord and e.chord.name) for e in bars[1].chords] == [
        (False, "C"),
        (True, "G"),
    ]


def test_same_repeats_an_earlier_bar_without_its_labels() -> None:
    """``same`` is the bar before, ``same 2`` the one before that."""
    bars = bars_of("| C@x / G / | F | same 2 | same |")
    assert timed(bars[2]) == timed(bars[3]) == timed(bars[0])
    assert bars[2].chords[0].label is None


def test_a_bar_has_its_own_metre_or_length() -> None:
    """Parentheses say what is special about a bar."""
    bars = bars_of("| (3/4) C | (only 1/8) C | C |")
    assert [str(bar.length) for bar in bars] == ["3", "1/2", "4"]
    assert bars[1].metre == bars[2].metre


def test_the_pickup_shortens_the_first_bar_played() -> None:
    """It belongs to the first part in the order, whatever the file starts with."""
    text = "```part A\n| C | C |\n```\n```part B\n| C | C |\n```\n"
    parts = lesson_of(text, "pickup: 3/8\norder: B, A\n").parts
    assert [str(bar.length) for part in parts for bar in part.bars] == ["4", "4", "3/2", "4"]


def test_repeats_and_endings_are_marks_of_bars() -> None:
    """A repeat opens and closes, an ending says its passes."""
    bars = bars_of("| (repeat) C | (1st 2nd) G (x3) | (3rd) C |")
    assert [bar.repeat_start for bar in bars] == [True, False, False]
    assert [bar.repeat_times for bar in bars] == [1, 3, 1]
    assert [bar.endings for bar in bars] == [(), (1, 2), (3,)]


def test_a_doubt_has_a_place_in_the_record() -> None:
    """Minutes and seconds follow the mark."""
    (bar,) = bars_of("| C?1:12.5 _ x32010=C? _ |")
    assert [e.chord and e.chord.doubt for e in bar.chords] == [Doubt(72.5), Doubt()]


def test_a_grip_set_out_once_is_meant_by_its_name_in_any_writing() -> None:
    """The chart may write the symbol another way; a prime asks for a second voicing."""
    lesson = lesson_of(
        "```grips\nCmaj7 x35453\n      .13241\nCmaj7' x32000\n```\n"
        "```part A\n| CM7 / Cmaj7' / |\n```\n"
    )
    first, _, second, _ = lesson.parts[0].bars[0].chords
    assert first.chord == lesson.grips[0]
    assert first.chord.fingers == (None, "1", "3", "2", "4", "1")
    assert second.chord is not None and str(second.chord.grip) == "x32000"


def test_licks_share_the_bars_above_them() -> None:
    """Cell under cell; two lick lines are two voices in one bar."""
    bars = bars_of("| C | G |\nlick | | by 2 3on1 1on1 ... |\nlick | | 3on6 |")
    assert bars[0].notes == ()
    assert [(n.string, n.fret, str(n.offset), str(n.length)) for n in bars[1].notes] == [
        (6, 3, "0", "4"), (1, 3, "0", "1/2"), (1, 1, "1/2", "1/2"),
    ]  # fmt: skip


def test_a_chain_shares_its_step_and_the_last_note_rings() -> None:
    """Slide, hammer-on and pull-off in one word."""
    (bar,) = bars_of("| C |\nlick | 5>7p5on3 _ . . |")
    assert [(n.fret, n.techniques, str(n.length)) for n in bar.notes] == [
        (5, (), "1/3"), (7, ("slide",), "1/3"), (5, ("pull",), "4/3"),
    ]  # fmt: skip


def test_a_bend_says_the_fret_that_is_heard() -> None:
    """A bend and its release, a harmonic, a dead note, vibrato, a fixed spelling."""
    (bar,) = bars_of("| C |\nlick | by 2 7b9on3 r7on3 12on1* 7on1** xon6 5on2~ 7on2=F# . |")
    assert [(n.fret, n.bend, n.techniques) for n in bar.notes] == [
        (7, 9, ("bend",)), (7, None, ("release",)), (12, None, ("natural-harmonic",)),
        (7, None, ("touch-harmonic",)), (0, None, ("dead",)), (5, None, ("vibrato",)),
        (7, None, ()),
    ]  # fmt: skip
    assert bar.notes[-1].spelling == "F#"


def test_notes_are_tied_over_the_barline() -> None:
    """An underscore before a note goes on with it, unstruck."""
    bars = bars_of("| C | C |\nlick | . . . 5on3+5on2 | _5on3+_5on2 ... |")
    assert [(n.string, n.fret, n.tied) for n in bars[1].notes] == [(3, 5, True), (2, 5, True)]


def test_spans_of_palm_mute_and_let_ring_hold_over_barlines() -> None:
    """What stands between the braces is muted."""
    bars = bars_of("| C | C |\nlick | 0on6 _ pm{ 0on6 _ | 0on6 } 0on6 _ _ |")
    assert [n.techniques for bar in bars for n in bar.notes] == [
        (), ("palm-mute",), ("palm-mute",), (),
    ]  # fmt: skip


def test_right_hand_lanes_are_stacked() -> None:
    """Thumb and fingers are one pattern; strums have accents and ghosts."""
    lesson = lesson_of(
        "```right-hand\nwalk:\nthumb | p5 _ p4 _ |\nfingers | by 2 . i3+m2 ... |\n"
        "strum: 2/4\n| d! (u654) |\n```\n"
        "```part A\nhand: walk\n| C | (hand strum) C | (hand none) C |\n```"
    )
    walk, strum = lesson.patterns
    assert [(s.strings, s.fingers, str(s.offset), str(s.length)) for s in walk.strokes] == [
        ((5,), ("p",), "0", "2"), ((3, 2), ("i", "m"), "1/2", "1/2"), ((4,), ("p",), "2", "2"),
    ]  # fmt: skip
    assert [(s.kind, s.strings, s.accent, s.ghost) for s in strum.strokes] == [
        ("down", (), True, False), ("up", (6, 5, 4), False, True),
    ]  # fmt: skip
    assert [bar.pattern for bar in lesson.parts[0].bars] == [walk, strum, None]


def test_prose_points_into_the_chart() -> None:
    """A link to a label is a pointer; one in code is not."""
    lesson = lesson_of("See [the lift](#lift) and `[code](#no)`.\n\n```part A\n| C@lift |\n```\n")
    (pointer,) = lesson.prose[0].pointers
    assert lesson.prose[0].markdown[pointer.start : pointer.end] == "[the lift](#lift)"


def test_a_partial_capo_is_one_stop_a_string() -> None:
    """Bass side first, like the tuning."""
    lesson = lesson_of("```part A\n| C |\n```", "capo: 0 2 2 2 2 0\n")
    assert lesson.neck.stops == (0, 2, 2, 2, 2, 0)
    assert lesson.neck.capo is None


def test_names_may_be_of_shapes_under_a_capo() -> None:
    """Symbols name what sounds all the same: a G shape at fret 2 is an A."""
    front = "capo: 2\nnames: shape\n"
    lesson = lesson_of("```grips\nG 320003\n```\n```part A\n| G _ D7/F# _ |\n```", front)
    first, second = (event.chord for event in lesson.parts[0].bars[0].chords)
    assert first is not None and second is not None
    assert (first.name, str(first.symbol), str(second.symbol)) == ("G", "A", "E7/G#")


def test_spans_find_each_node_in_the_text() -> None:
    """A span is where the node stands."""
    text = (LESSONS / "river-clerk.md").read_text(encoding="utf-8")
    spans = parse(text).spans
    said = {node: text[span.start : span.end] for node, span in spans.items()}
    assert said["front", "tempo"] == "76"
    assert said["chord", "Desk", 0, 0] == "Dsus4@held"
    assert said["fingers", "Dsus4"] == "...134"
    assert said["label", "held"] == "held"
    assert said["bar", "Desk", 3] == "(1st 2nd) G (x3)"


def test_windows_line_ends_change_nothing() -> None:
    """A file saved with CR LF is the same lesson."""
    text = (LESSONS / "gravel.md").read_text(encoding="utf-8")
    assert parse(text.replace("\n", "\r\n")).lesson == parse(text).lesson


# Bad input


@pytest.mark.parametrize("text", ["", " \n\n"])
def test_an_empty_file_says_so(text: str) -> None:
    """Nothing is there."""
    assert problem_of(text).code == "empty"


def test_bytes_that_are_no_utf8_are_named(tmp_path: Path) -> None:
    """The byte, its value and its line."""
    path = tmp_path / "latin.md"
    path.write_bytes(b"---\ntitle: Caf\xe9\n---\n")
    with pytest.raises(LessonError, match=r"line 2: byte 14 \(0xe9\) is not UTF-8"):
        read_lesson(path)


def test_ten_megabytes_of_noise_are_answered_at_once() -> None:
    """Too long is said before anything is read."""
    noise = "|`~?(" * 2_000_000
    start = time.perf_counter()
    assert problem_of(noise).code == "too-long"
    assert time.perf_counter() - start < 1


@pytest.mark.parametrize(
    "unit", ["| C ", "`[a](", "```part A\n", "(" * 9, "[", "\\", "`" * 7 + " "]
)
def test_noise_just_under_the_limit_is_answered_in_time(unit: str) -> None:
    """No text makes the reader slow: a tenth of the limit takes well under three seconds."""
    noise = FRONT + unit * (MAX_CHARACTERS // 10 // len(unit))
    start = time.perf_counter()
    parse(noise)
    assert time.perf_counter() - start < 3


@pytest.mark.parametrize(
    ("code", "text", "line", "column", "hint"),
    [
        ("bar-long", FRONT + "```part A\n| C / / / G |\n```", 5, 11, "own metre"),
        ("bar-short", FRONT + "```part A\n| C / G |\n```", 5, 3, "let ring with _"),
        ("grip", FRONT + "```grips\nC x-25-5-5-5-x\n```\n" + BODY, 5, 3, "frets 0 to 24"),
        ("grip", FRONT + "```part A\n| x3545 |\n```", 5, 3, "xx3545"),
        ("grip", FRONT + "```part A\n| xx32010 |\n```", 5, 3, "x32010"),
        ("tuning", "---\ntitle: T\ntuning: E2 A2 D3 H3 B3 E4\n---\n" + BODY, 3, 9, "D2"),
        ("part-twice", FRONT + "```part A\n| C |\n```\n" + BODY, 7, 9, "A 2"),
        ("pointer", FRONT + "[x](#lfit)\n```part A\n| C@lift |\n```", 4, 1, "perhaps #lift"),
        ("order", "---\ntitle: T\norder: Vrse\n---\n```part Verse\n| C |\n```", 3, 8, "Verse"),
        ("field", "---\ntitle: T\ntempoo: 90\n---\n" + BODY, 3, 1, "perhaps tempo"),
        ("chord", FRONT + "```part A\n| Csus44 |\n```", 5, 3, "Csus4"),
        ("chord", FRONT + "```part A\n| Am9' |\n```", 5, 3, "Am9"),
        ("pattern", FRONT + "```right-hand\nwalk:\n| d |\n```\n```part A\nhand: wlak\n| C |\n```",
         9, 7, "walk"),
        ("block", FRONT + "```grip\n```\n" + BODY, 4, 4, "perhaps grips"),
        ("block-open", FRONT + "```part A\n| C |", 4, 1, "```"),
        ("no-part", FRONT + "Words.", 4, 6, "part Verse"),
        ("label-twice", FRONT + "```part A\n| C@x / G@x / |\n```", 5, 11, "once"),
        ("string", FRONT + "```part A\n| C |\nlick | 5on7 |\n```", 6, 8, "1 (treble side) to 6"),
        ("fret", FRONT + "```part A\n| C |\nlick | 25on1 |\n```", 6, 8, "0 to 24"),
        ("spelling", FRONT + "```part A\n| C |\nlick | 1on1=G |\n```", 6, 8, "spelling"),
        ("lick", FRONT + "```part A\n| C |\nlick | 1on1 | 2on1 |\n```", 6, 15, "add a bar"),
        ("no-chord-before", FRONT + "```part A\n| / G / / |\n```", 5, 3, "name the chord"),
        ("no-note-before", FRONT + "```part A\n| C | C |\nlick | 5on3 | _ ... |\n```",
         6, 15, "_5on3"),
        ("same", FRONT + "```part A\n| same |\n```", 5, 3, "bar before"),
        ("fingers", FRONT + "```grips\nC x32010\n  .32.1\n```\n" + BODY, 6, 3, "dot"),
        ("capo", "---\ntitle: T\ncapo: 2 2\n---\n" + BODY, 3, 7, "one stop"),
        ("metre", "---\ntitle: T\nmetre: 7/8 = 2+2\n---\n" + BODY, 3, 8, "2+2+3"),
        ("swing", "---\ntitle: T\nswing: 90%\n---\n" + BODY, 3, 8, "2/3"),
        ("title", "---\ntempo: 90\n---\n" + BODY, 1, 1, "title: ..."),
    ],
)  # fmt: skip
def test_bad_input_has_its_place_and_what_would_be_right(
    code: str, text: str, line: int, column: int, hint: str
) -> None:
    """One slip gives one problem, with line, column and a hint."""
    problem = problem_of(text)
    assert (problem.code, problem.line, problem.column) == (code, line, column)
    assert hint in (problem.suggestion or "")


def test_all_problems_come_at_once_in_the_order_of_the_file() -> None:
    """Three slips, three problems; there is no lesson, and a draft all the same."""
    parsed = parse(FRONT + "[x](#no)\n```part A\n| C / G |\n| Hm7 |\n| F |\n```")
    assert [problem.code for problem in parsed.problems] == ["pointer", "bar-short", "chord"]
    assert parsed.lesson is None
    assert len(parsed.draft.parts[0].bars) == 3


def test_the_error_of_a_file_holds_all_its_problems(tmp_path: Path) -> None:
    """The contract's error object lists them with their places."""
    path = tmp_path / "slips.md"
    path.write_text(FRONT + "```part A\n| C / G |\n| Hm7 |\n```", encoding="utf-8")
    with pytest.raises(LessonError, match=r"slips\.md, line 5") as caught:
        read_lesson(path)
    assert [p["line"] for p in caught.value.as_dict()["problems"]] == [5, 6]


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    """No traceback, the file's name."""
    with pytest.raises(LessonError, match=r"none\.md"):
        read_lesson(tmp_path / "none.md")


def test_a_length_is_exact() -> None:
    """Thirds of a beat stay fractions."""
    (bar,) = bars_of("| by 3 C G F by 1 C _ _ |")
    assert bar.chords[1].offset == Fraction(1, 3)


def test_clumsy_writing_is_understood() -> None:
    """Capital field names, no blanks, tabs, a space inside parentheses, no last barline."""
    text = "---\nTitle: T\nTEMPO:90\n---\n```part A\n|(repeat)C\t/ C7(b9, #11) _|G (x2)\n```"
    lesson = parse(text).lesson
    assert lesson is not None
    assert lesson.tempo_bpm == 90
    assert [bar.repeat_times for bar in lesson.parts[0].bars] == [1, 2]
    assert timed(lesson.parts[0].bars[0])[2][0] == "C7(b9, #11)"


@pytest.mark.parametrize("word", ["?", "@x", "<", "<<"])
def test_a_mark_without_its_chord_is_explained(word: str) -> None:
    """It says where the mark belongs."""
    assert "right" in (problem_of(FRONT + f"```part A\n| C _ _ {word} |\n```").suggestion or "")


@pytest.mark.parametrize("note", ["7b7on3", "7b20on3", "xon3=C", "7b9on3=E", "12>on2", "5on0"])
def test_notes_that_cannot_be_are_explained(note: str) -> None:
    """A bend that goes nowhere or too far, a spelling that is not the fret's."""
    problem = problem_of(FRONT + f"```part A\n| C |\nlick | {note} |\n```")
    assert (problem.line, problem.column) == (6, 8)
