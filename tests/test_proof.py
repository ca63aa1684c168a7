"""Proof rules: what each finds, and that right lessons pass."""

from __future__ import annotations

from pathlib import Path

import pytest

from gripwright.lesson.text import parse
from gripwright.proof.registry import RULES, STOPPING, Evidence, Finding, check

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.md"))
PLAYED = "```part A\n| {} |\n```\n"


def findings(text: str, front: str = "") -> tuple[Finding, ...]:
    """Return the findings of blocks under a small front matter."""
    whole = f"---\ntitle: T\n{front}---\n{text}"
    return check(Evidence(parse(whole), whole))


def label(name: str, grip: str, front: str = "") -> list[str]:
    """Return the severities that a name on a grip gets from the label rule."""
    found = findings(f"```part A\n| {grip}={name} |\n```", front)
    return [f.severity for f in found if f.rule == "label-contradicts-notes"]


# Grips and names that any chord book prints; common practice, no source.
@pytest.mark.parametrize(
    ("name", "grip"),
    [
        ("C", "x32010"), ("Am7", "x02010"), ("G7", "320001"), ("Fmaj7", "xx3210"),
        ("E7(#9)", "07678x"), ("Bm7(b5)", "x2323x"), ("Dsus4", "xx0233"), ("Cadd9", "x32030"),
        ("A13", "5x567x"), ("C9", "x3233x"), ("Gm6", "3x233x"), ("D/F#", "2x0232"),
        ("Cmaj9", "x3243x"), ("G7alt", "3x344x"), ("Bdim7", "x2313x"), ("E5", "022xxx"),
        ("C7(b9)", "x3232x"), ("Am(maj7)", "x02110"), ("C6/9", "x3223x"), ("A7sus4", "x02030"),
        ("F#m11", "2x220x"), ("Caug", "x3211x"),
    ],
)  # fmt: skip
def test_right_names_pass(name: str, grip: str) -> None:
    """Omissions that players make are fine."""
    assert label(name, grip) == []


@pytest.mark.parametrize(
    ("name", "grip", "what"),
    [
        ("Am", "x02220", "a major third"),
        ("C", "x35543", "a minor third"),
        ("Cmaj7", "x35353", "the wrong seventh"),
        ("G7", "320003", "no seventh"),
        ("Dsus4", "xx0232", "a third in place of the fourth"),
        ("C13", "x3231x", "no thirteenth"),
        ("C7(b9)", "x3233x", "a natural ninth"),
        ("D/F#", "x54232", "another bass"),
        ("Bdim", "x24432", "a perfect fifth"),
        ("Cadd9", "x32010", "no ninth"),
        ("C/E", "x32010", "a bass that is not there"),
    ],
)
def test_a_name_that_its_notes_contradict_is_wrong(name: str, grip: str, what: str) -> None:
    """One finding a chord, severity wrong."""
    assert label(name, grip) == ["wrong"], what


@pytest.mark.parametrize(
    ("name", "grip", "what"),
    [
        ("C7", "x3233x", "a ninth that the name leaves out"),
        ("C", "x32000", "a seventh that the name leaves out"),
        ("C", "032010", "an inversion without a slash"),
        ("Am", "x022xx", "no third"),
        ("G13", "x-x-3-4-5-x", "no root"),
    ],
)
def test_a_name_that_says_too_little_is_doubtful(name: str, grip: str, what: str) -> None:
    """A teacher may mean it."""
    assert label(name, grip.replace("-", "") if len(grip) > 6 else grip) == ["doubtful"], what


def test_the_finding_says_what_the_notes_say() -> None:
    """With the place of the grip that is set out."""
    text = "```grips\nAm  x02220\n```\n" + PLAYED.format("Am")
    (found,) = findings(text)
    assert (found.line, found.column, found.severity) == (5, 1, "wrong")
    assert "string 2 sounds C♯, the 3" in found.message
    assert found.suggestion == "the notes say A"


def test_a_re_entrant_tuning_has_no_bass_to_quarrel_about() -> None:
    """The lowest note of a small four-string is seldom the root."""
    assert label("F", "2010", "tuning: G4 C4 E4 A4\n") == []
    assert label("Fm", "2010", "tuning: G4 C4 E4 A4\n") == ["wrong"]


def test_the_capo_counts() -> None:
    """The shape of G under a capo at two sounds A."""
    assert label("A", "320003", "capo: 2\n") == []
    assert label("G", "320003", "capo: 2\n") == ["wrong"]


def test_open_doubts_are_found_with_their_place_in_the_record() -> None:
    """Grips, chords and notes."""
    text = "```grips\nG 320003?1:05\n```\n```part A\n| G / C? / |\nlick | 3on1?0:09 |\n```"
    told = [f for f in findings(text) if f.rule == "doubt-open"]
    assert [(f.line, f.severity) for f in told] == [
        (5, "doubtful"),
        (8, "doubtful"),
        (9, "doubtful"),
    ]
    assert "1:05" in told[0].message and "0:09" in told[2].message


def test_a_chord_without_a_grip_is_noted_once() -> None:
    """The pack picks one; nothing is wrong."""
    told = findings(PLAYED.format("C / G / | C"))
    assert [(f.rule, f.severity) for f in told] == [("grip-missing", "note")] * 2


def test_bars_that_no_pass_reaches_are_wrong() -> None:
    """A third ending of a repeat that is played twice."""
    told = findings("```part A\n| 320003 | (1st) 320003 (x2) | (3rd) 320003 |\n```")
    assert [(f.rule, f.severity, f.line) for f in told] == [("never-played", "wrong", 5)]


def test_parts_and_grips_that_nobody_plays_are_noted() -> None:
    """Left over from another draft."""
    text = "```grips\nG 320003\nC x32010\n```\n" + PLAYED.format("G") + "```part B\n| G |\n```"
    told = findings(text, "order: A\n")
    assert [(f.rule, f.line) for f in told] == [("never-played", 7), ("never-played", 12)]


@pytest.mark.parametrize(
    ("fingers", "severity"),
    [(".32.1.", None), (".31.1.", "wrong"), (".3..1.", "wrong"), (".23.1.", "doubtful")],
)
def test_fingers_are_held_against_the_frets(fingers: str, severity: str | None) -> None:
    """One finger on one fret, every pressed string held, none crossed without need."""
    text = f"```grips\nC x32010\n  {fingers}\n```\n" + PLAYED.format("C")
    told = [f.severity for f in findings(text) if f.rule == "fingers-crossed"]
    assert told == ([severity] if severity else [])


def test_a_grip_for_six_fingers_is_out_of_reach() -> None:
    """No hand makes it."""
    told = [f for f in findings("```part A\n| 1-3-5-7-9-11 |\n```") if f.rule == "out-of-reach"]
    assert [f.severity for f in told] == ["wrong"]


def test_problems_of_the_file_are_findings_too() -> None:
    """With their own codes."""
    told = findings(PLAYED.format("C / G"))
    assert ("bar-short", "wrong") in [(f.rule, f.severity) for f in told]


def test_each_rule_has_a_name_of_its_own() -> None:
    """One rule a module."""
    assert len({rule.RULE for rule in RULES}) == len(RULES) >= 6


def test_there_are_demos_to_check() -> None:
    """The set below is not empty."""
    assert len(DEMOS) == 2


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_demo_lessons_pass(path: Path) -> None:
    """Nothing at all is found in them."""
    text = path.read_text(encoding="utf-8")
    assert check(Evidence(parse(text), text)) == ()


FIVE_NOTES = "```grips\nC13  x32335\n```\n```right-hand\nwalk: 4/4\nthumb | {} |\n"
FIVE_NOTES += "fingers | . i+m+a . i+m+a |\n```\n```part Verse\n{}\n```\n"


def unstruck(thumb: str, bars: str) -> list[str]:
    """Return what the rule on unstruck notes says of bars with a walking hand."""
    found = findings(FIVE_NOTES.format(thumb, bars), "hand: walk\n")
    assert all(f.severity == "note" for f in found if f.rule == "never-struck")
    return [f.message for f in found if f.rule == "never-struck"]


def test_a_note_that_the_hand_never_strikes_is_told_once() -> None:
    """String 4 of x32335 is the third, E; thumb and three fingers pass it by."""
    told = unstruck("p _ p _", "| C13 | C13 |")
    assert told == ["the hand of Verse never strikes string 4 of C13, so its 3 (E) is not heard"]


@pytest.mark.parametrize(
    ("thumb", "bars"),
    [
        ("p _ p4 _", "| C13 |"),
        ("p _ p _", "| (hand none) C13 |"),
        ("p _ p _", "| C13 |\nlick | 12on1 ... |"),
        ("p _ p4 _", "| C13 _ / _ |"),
    ],
)
def test_what_is_struck_or_played_by_a_lick_is_heard(thumb: str, bars: str) -> None:
    """By the thumb, by a plain stroke, as another E, or in the second half of the chord."""
    assert unstruck(thumb, bars) == []


def test_a_chord_too_short_for_its_stroke_is_told() -> None:
    """The thumb reaches string 4 on beat three, when C13 is over."""
    assert "never strikes string 4 of C13" in unstruck("p _ p4 _", "| C13 _ G7 _ |")[0]


@pytest.mark.parametrize(("before", "heard"), [("xx222x=A/E", True), ("xx442x=B", False)])
def test_a_string_that_rings_on_is_heard(before: str, heard: bool) -> None:
    """String 4 is struck in the first chord only; at the same fret it rings into the second."""
    hand = "```right-hand\nonce: 2/2\nthumb | p4 . |\nfingers | 3+2 3+2 |\n```\n"
    bars = f"```part A\n| {before} xx210x=E |\n```\n"
    found = findings(hand + bars, "metre: 2/2\nhand: once\n")
    told = [f.message for f in found if f.rule == "never-struck"]
    assert (told == []) is heard
    assert heard or "string 4 of xx210x=E" in told[0] or "string 4 of E" in told[0]


def test_a_second_front_matter_is_doubtful() -> None:
    """It stands in the prose and changes nothing; a rule between paragraphs is left alone."""
    part = "```part A\n| C |\n```\n"
    twice = findings(f"{part}\nSome words.\n\n---\ntempo: 140\nkey: G major\n---\n")
    (found,) = [f for f in twice if f.rule == "front-twice"]
    assert (found.severity, found.line) == ("doubtful", 10)
    assert "tempo, key" in found.message
    plain = findings(f"{part}\nWords.\n\n---\n\nNote: listen.\n\n---\n\nMore.\n")
    assert [f for f in plain if f.rule == "front-twice"] == []


def test_every_rule_is_in_the_docs() -> None:
    """By the name that findings carry."""
    page = (Path(__file__).parent.parent / "docs" / "proof.md").read_text(encoding="utf-8")
    assert len(RULES) > 5
    assert [rule.RULE for rule in RULES if f"| `{rule.RULE}` |" not in page] == []


def test_the_rules_that_stop_are_those_that_find_what_is_wrong() -> None:
    """No rule outside of them says wrong, so that the gate and the bench may ask them alone."""
    says_wrong = {r.RULE for r in RULES if '"wrong"' in Path(r.__file__).read_text("utf-8")}
    assert says_wrong == {rule.RULE for rule in STOPPING}
