"""``gripwright explain`` from outside: answers, schema, lines, lessons, clear errors."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import json_shape
from gripwright.cli.explain import command
from gripwright.cli.explain_page import numeral_in_print
from gripwright.cli.main import root
from gripwright.formats.score_items import score_bars
from gripwright.lesson.text import read_lesson

LESSON = """---
title: Two Bars
key: C
---

```part A
| C / G7 / | C / Am7 / |
| Dm7 / G7 / | C / / / |
```
"""


def run(*args: str, stdin: str | None = None) -> Result:
    """Run the command."""
    return CliRunner().invoke(command, list(args), input=stdin)


def lines(requests: list[Any]) -> list[dict[str, Any]]:
    """Return the answers to requests, one a line; text stands for a line as it is."""
    stdin = "\n".join(one if isinstance(one, str) else json.dumps(one) for one in requests)
    return [json.loads(line) for line in run("--jsonl", stdin=stdin).stdout.splitlines()]


def test_the_answer_keeps_its_schema() -> None:
    """With everything in it: silence, grips, borrowed chords."""
    changes = "Cmaj7 | x35453=Cmaj7 rest | Fm6 Bb7 | Cmaj7 | 3x343x G7sus4 G7 | C:maj/3"
    answer = json.loads(run("--changes", changes, "--json").stdout)
    assert json_shape.faults(answer, "explain") == []
    assert len(answer["chords"]) == 10 and answer["threads"]


def test_keys_count_chords_end_exclusive() -> None:
    """From 0 to the number of chords."""
    (answer,) = lines([{"chords": ["C", "F", "G7", "C"]}])
    assert answer["keys"] == [{"key": "C major", "start": 0, "end": 4}]


def test_symbols_labels_and_grips_are_the_same_to_it() -> None:
    """Three writings of the same changes."""
    symbols, labels, grips = lines(
        [{"chords": ["Dm7", "G7", "Cmaj7"]}, {"chords": ["D:min7", "G:7", "C:maj7"]},
         {"chords": ["xx0211", "320001", "x32000"]}]
    )  # fmt: skip
    assert symbols == labels
    assert [c["numeral"] for c in grips["chords"]] == [c["numeral"] for c in symbols["chords"]]


def test_a_bad_line_does_not_stop_the_rest() -> None:
    """Each answered in place, its id echoed, and the exit says that one was bad."""
    requests: list[Any] = [
        {"id": 1, "chords": ["C", "Hm"]}, "rubbish", {"id": 3, "chords": []},
        {"id": 4, "chords": ["C"], "key": "K"}, {"id": 5, "chords": ["C"], "lengths": [1, 2]},
        {"id": 6, "chords": "C | F"}, {"id": 7}, {"id": 8, "chords": ["C"], "tempo": 3},
        {"id": 9, "chords": [3]}, {"id": 10, "chords": ["C"], "lengths": ["a"]},
        {"id": 11, "chords": ["N"]}, {"id": 12, "chords": ["x3"]},
        {"id": 13, "chords": ["C", "G"], "lengths": [1, -1]},
        {"id": 14, "chords": ["C", "xx0xxx"]}, {"id": 15, "chords": ["C", "xxxxxx"]},
        {"id": 16, "chords": ["C", "F"], "lengths": [1e308, 1e308]}, [1],
    ]  # fmt: skip
    answers = lines(requests)
    assert len(answers) == len(requests)
    good = [answer["id"] for answer in answers if "error" not in answer]
    assert good == [6]
    fields = [answer["error"]["field"] for answer in answers if "error" in answer]
    assert fields == [
        "chords", "line", "chords", "key", "lengths", "chords", "tempo", "chords", "lengths",
        "chords", "chords", "lengths", "chords", "chords", "lengths", "line",
    ]  # fmt: skip
    assert [answers[n]["error"]["at"] for n in (0, 13, 14)] == [1, 1, 1]


def test_an_answer_that_tells_several_wrong_chords_keeps_its_schema() -> None:
    """Each with its index and what would be right."""
    (answer,) = lines([{"chords": ["C", "Hm", "x3", "xx0xxx"]}])
    assert json_shape.faults(answer, "error") == []
    assert [problem["at"] for problem in answer["error"]["problems"]] == [1, 2, 3]


def test_rubbish_among_ten_thousand_lines() -> None:
    """One wrong line of many: all others are answered, in order."""
    many: list[Any] = [{"id": n, "chords": ["C", "G7"]} for n in range(10_000)]
    many[4321] = "{"
    answers = lines(many)
    assert len(answers) == 10_000 and "error" in answers[4321]
    assert [a["id"] for a in answers if "id" in a] == [n for n in range(10_000) if n != 4321]


def test_a_given_key_is_kept() -> None:
    """Both in the request and on the command line."""
    (answer,) = lines([{"chords": ["C", "F"], "key": "F major"}])
    assert [c["numeral"] for c in answer["chords"]] == ["V", "I"]
    told = json.loads(run("--changes", "C F", "--key", "F", "--json").stdout)
    assert told["keys"][0]["key"] == "F major"


def test_a_lesson_is_read_in_written_order(tmp_path: Path) -> None:
    """The chords of the chart, in the key that the teacher states."""
    path = tmp_path / "two-bars.md"
    path.write_text(LESSON, encoding="utf-8")
    answer = json.loads(run(str(path), "--json").stdout)
    assert [chord["symbol"] for chord in answer["chords"]] == [
        "C", "G7", "C", "Am7", "Dm7", "G7", "C",
    ]  # fmt: skip
    assert answer["keys"] == [{"key": "C major", "start": 0, "end": 7}]


def test_a_part_may_have_its_own_key(tmp_path: Path) -> None:
    """The lesson's key elsewhere; a key on the command line holds throughout."""
    path = tmp_path / "two-parts.md"
    bridge = "\n```part B\nkey: Ab\n| Db / Eb7 / | Ab / / / |\n```\n"
    path.write_text(LESSON + bridge, encoding="utf-8")
    answer = json.loads(run(str(path), "--json").stdout)
    assert answer["keys"] == [
        {"key": "C major", "start": 0, "end": 7}, {"key": "Ab major", "start": 7, "end": 10},
    ]  # fmt: skip
    assert [chord["numeral"] for chord in answer["chords"][7:]] == ["IV", "V7", "I"]
    whole = json.loads(run(str(path), "--key", "F", "--json").stdout)
    assert [region["key"] for region in whole["keys"]] == ["F major"]


def test_the_licks_of_a_lesson(tmp_path: Path) -> None:
    """Each note against the chord under it, by place."""
    lesson = LESSON.replace(
        "| C / G7 / | C / Am7 / |\n",
        "| C / / / | G7 / / / |\nlick | 5on2 3on2 1on2 _ | 1on1 0on1 3on1 _ |\n",
    )
    path = tmp_path / "lick.md"
    path.write_text(lesson, encoding="utf-8")
    answer = json.loads(run(str(path), "--json").stdout)
    assert json_shape.faults(answer, "explain") == []
    (part,) = answer["licks"]
    told = [(note["bar"], note["note"], note["degree"], note["role"]) for note in part["notes"]]
    assert told == [
        (0, "E", "3", "chord tone"), (0, "D", "9", "passing"), (0, "C", "1", "chord tone"),
        (1, "F", "b7", "chord tone"), (1, "E", "13", "tension"), (1, "G", "1", "chord tone"),
    ]  # fmt: skip
    assert "Licks in A" in run(str(path)).stdout


def test_a_lick_has_the_letters_of_its_score(tmp_path: Path) -> None:
    """Blue notes, an approach from below and one from above; common practice, no source."""
    text = LESSON.replace("key: C", "key: A").replace(
        "| C / G7 / | C / Am7 / |\n",
        "| A7 / / / | E7 / / / |\nlick | 5on3 6on3 8on3 7on3 | 3on2 4on2 5on2 6on2 |\n",
    )
    path = tmp_path / "lick.md"
    path.write_text(text, encoding="utf-8")
    (part,) = json.loads(run(str(path), "--json").stdout)["licks"]
    told = [note["note"] for note in part["notes"]]
    assert " ".join(told) == "C C# Eb D D D# E F"
    lesson = read_lesson(path).lesson
    assert lesson is not None
    bars = [bar.voices[0] for bar in score_bars(lesson)[:2]]
    assert [item.notes[0].pitch.note.name for bar in bars for item in bar] == told


def test_a_lesson_with_problems_tells_them(tmp_path: Path) -> None:
    """Exit 2, and the line."""
    path = tmp_path / "wrong.md"
    path.write_text(LESSON.replace("Am7", "Hm7"), encoding="utf-8")
    result = run(str(path), "--json")
    error = json.loads(result.stdout)["error"]
    assert result.exit_code == 2 and error["code"] == "lesson" and "line 7" in error["message"]


@pytest.mark.parametrize("args", [(), ("song.md", "--changes", "C")])
def test_one_source_and_only_one(args: tuple[str, ...]) -> None:
    """Neither and both are wrong use."""
    result = CliRunner().invoke(root, ["explain", *args])
    assert result.exit_code == 2 and "explain what?" in result.output


def test_what_people_read() -> None:
    """Key, chord, printed numeral, and each remark once."""
    text = run("--changes", "C Fm C Fm C").stdout
    assert text.startswith("C major") and text.count("Fm is borrowed from C minor") == 1
    assert text.count("\n  Fm ") == 2


def test_numerals_in_print() -> None:
    """Raised figures, flats and the diminished sign."""
    assert numeral_in_print("bVI") == "♭VI" and numeral_in_print("viio65/V") == "vii°⁶⁵/V"
    assert numeral_in_print("#ivø7") == "♯ivø⁷" and numeral_in_print("V/bIII") == "V/♭III"


LONG = "Dm7 G7(b9) | Cmaj7 | Fm7 Bb7 | Cmaj7 A7 | Dm7 Db7 | Cmaj7 Ebmaj7 Abmaj7 Dbmaj7 | Cmaj7"


def test_the_page_keeps_to_eighty_columns() -> None:
    """Remarks are wrapped and set back, scales go on beneath each other."""
    text = run("--changes", LONG).stdout
    assert text and max(len(line) for line in text.splitlines()) <= 80
    rows = [line for line in text.splitlines() if line.startswith("  ") and line[2] != " "]
    assert len(rows) == 14 and {row.index(row.split()[1]) for row in rows} == {12}


def test_long_names_widen_their_column() -> None:
    """And leave room before the next."""
    text = run("--changes", "C Ebmaj7(#11)/Bb Am7(no5)/F# F", "--key", "C").stdout
    rows = [line for line in text.splitlines() if line.startswith("  ") and line[2] != " "]
    assert len({re.search(r"  \S+\s+(?=[♭♯IViv])", row).end() for row in rows}) == 1  # type: ignore[union-attr]


def test_the_page_says_how_the_voices_lead() -> None:
    """What matters first, each note once, with degrees on both sides."""
    text = run("--changes", "Dm7 G7").stdout
    assert "To G7: C (♭7) falls a half step to B (3), F (♭3) stays (♭7)." in text


def test_nothing_is_said_twice_on_the_page() -> None:
    """Not even in a song of 200 chords."""
    text = run("--changes", "Dm7 G7 Cmaj7 A7 " * 50).stdout
    said = [line.strip() for line in text.splitlines() if line.startswith("      ")]
    assert said and len(said) == len(set(said)) < 20


def test_the_page_of_a_lesson_has_parts_and_bars(tmp_path: Path) -> None:
    """As the teacher finds them in the chart."""
    path = tmp_path / "two-bars.md"
    path.write_text(LESSON, encoding="utf-8")
    lines = [line for line in run(str(path)).stdout.splitlines() if line]
    assert lines[0] == "A" and lines[1].startswith("C major")
    both = run(str(path)).stdout.splitlines()
    assert both[1] == "" and both[3] == ""
    bars = [line[:7].strip() for line in lines[2:] if line[:5].strip() or line[:7] == " " * 7]
    assert [bar for bar in bars if bar.isdigit()] == ["1", "2", "3", "4"]


@pytest.mark.parametrize(
    "request_",
    [{"chords": ["Hm"]}, {"chords": []}, {"chords": [3]}, {}, {"chords": ["C"], "key": "K"},
     {"chords": ["C"], "tempo": 3}, {"chords": ["C"], "key": 3},
     {"chords": ["C"], "lengths": ["a"]},
     {"chords": ["C"], "lengths": [1, 2]}, {"chords": ["C"], "lengths": [0]}, {"chords": ["N"]},
     {"chords": ["C"], "tuning": "Z9"}, {"chords": ["C"], "capo": "x"}, {"chords": ["x3"]}, "{"],
)  # fmt: skip
def test_every_error_has_a_remedy(request_: Any) -> None:
    """And names its field."""
    (answer,) = lines([request_])
    assert answer["error"]["remedy"] and answer["error"]["field"] and answer["error"]["message"]
