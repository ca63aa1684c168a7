"""``gripwright grips`` from outside: answers, schema, lines, clear errors."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

import json_shape
from gripwright.cli.grips import command
from gripwright.theory.symbol import parse_symbol
from gripwright.voicing.search import find_grips


def run(*args: str, stdin: str | None = None) -> Result:
    """Run the command."""
    return CliRunner().invoke(command, list(args), input=stdin)


def test_the_answer_keeps_its_schema_and_the_order() -> None:
    """All grips, easiest first, each as published."""
    result = run("Cmaj7", "--json")
    answer = json.loads(result.stdout)
    assert json_shape.faults(answer, "grips") == []
    found = find_grips(parse_symbol("Cmaj7"))
    assert [one["grip"] for one in answer["grips"]] == [one.grip.text for one in found]
    assert answer["count"] == len(found) > 100
    assert answer["rules"]["required"] == [0, 4, 11] and answer["rules"]["optional"] == [7]


def test_each_grip_tells_all_of_it() -> None:
    """A full barre: fingers, barre, tones and words agree with each other."""
    answer = json.loads(run("F", "--json").stdout)
    (barred,) = [one for one in answer["grips"] if one["grip"] == "133211"]
    assert barred["fingers"] == ["1", "3", "4", "2", "1", "1"]
    assert barred["barres"] == [
        {"finger": "1", "fret": 1, "from_string": 6, "to_string": 1, "kind": "full"}
    ]
    assert [t["degree"] for t in barred["tones"]] == ["1", "5", "1", "3", "5", "1"]
    assert barred["words"].startswith("first finger across strings 6 to 1 at fret 1")


@pytest.mark.parametrize("hand", ["150", "small", "large", "205.5"])
def test_a_hand_by_its_length_or_name(hand: str) -> None:
    """In mm from wrist crease to middle fingertip, or a preset."""
    result = run("Am", "--hand", hand, "--json", "--first", "3")
    assert result.exit_code == 0 and len(json.loads(result.stdout)["grips"]) == 3


def test_a_heavier_set_up_presses_harder() -> None:
    """The same grip on light and on heavy strings, and a longer neck that stretches more."""
    light, heavy, long = (
        json.loads(run("F", "--json", *args).stdout)["grips"]
        for args in (["--gauge", "light"], ["--gauge", "heavy"], ["--scale", "864"])
    )
    press, stretch = "press", "stretch_mm"
    f = [{one["grip"]: one for one in found}["133211"] for found in (light, heavy, long)]
    assert f[0][press] < f[1][press] and f[0][stretch] < f[2][stretch]


def test_top_bass_and_level() -> None:
    """A top note in any octave, another bass, a beginner's level."""
    answer = json.loads(run("C", "--top", "G", "--bass", "E", "--level", "2", "--json").stdout)
    assert answer["symbol"] == "C/E"
    for one in answer["grips"]:
        notes = [(t["note"][:-1], t["string"]) for t in one["tones"]]
        assert notes[0][0] == "E"
        assert all((tone["fret"] or 0) <= 5 for tone in one["tones"])


def test_capo_and_tuning() -> None:
    """Frets count from the capo, the sound does not."""
    result = run("A", "--tuning", "D2 A2 D3 G3 B3 E4", "--capo", "2", "--json")
    answer = json.loads(result.stdout)
    assert (answer["tuning"], answer["capo"]) == ("D2 A2 D3 G3 B3 E4", 2)
    assert {t["note"][:-1] for one in answer["grips"] for t in one["tones"]} == {"A", "C#", "E"}


def test_pitches_and_notes_in_place_of_a_symbol() -> None:
    """Exact pitches sound exactly; notes in any octave, the first lowest."""
    exact = json.loads(run("C3 E3 G3", "--json").stdout)
    assert {t["note"] for one in exact["grips"] for t in one["tones"]} == {"C3", "E3", "G3"}
    notes = json.loads(run("E G C", "--json").stdout)
    assert notes["rules"]["bass"] == [4]


def test_the_first_few_are_what_a_teacher_shows_easiest_first() -> None:
    """The best ranks are given, in the order of effort; hyphens in a request are as good."""
    lines = '{"symbol": "G7", "first": 4, "no-doubling": false}\n'
    answer = json.loads(run("--jsonl", stdin=lines).stdout)
    assert sorted(one["rank"] for one in answer["grips"]) == [1, 2, 3, 4]
    efforts = [one["effort"] for one in answer["grips"]]
    assert efforts == sorted(efforts)
    assert "320001" in [one["grip"] for one in answer["grips"]]


def test_people_get_ten_that_differ() -> None:
    """A line a grip, with fingers, a word for the effort, and degrees."""
    result = run("C", "--words")
    assert result.exit_code == 0
    assert "x32010" in result.stdout and ".32.1." in result.stdout
    assert "ring finger" in result.stdout


def test_lines_are_answered_in_order() -> None:
    """The id comes back, a bad line gets its error and the rest go on; exit code 1."""
    lines = ['{"symbol": "C", "id": 7, "first": 1}', '{"symbol": "Hx"}', "no json",
             '{"symbol": "G7", "frets": [0, 5], "hand": 170, "first": 2, "differ": true}',
             '{"symbol": "G7", "color": "red"}']  # fmt: skip
    result = run("--jsonl", stdin="\n".join(lines))
    answers = [json.loads(line) for line in result.stdout.splitlines()]
    assert result.exit_code == 1 and len(answers) == len(lines)
    assert answers[0]["id"] == 7 and len(answers[0]["grips"]) == 1
    assert [a["error"]["code"] for a in answers if "error" in a] == ["symbol", "input", "input"]
    assert len(answers[3]["grips"]) == 2


@pytest.mark.parametrize(
    ("args", "code", "field", "told"),
    [
        (["Hm7"], "symbol", "symbol", "starts with its root"),
        (["C", "--hand", "nan"], "input", "hand", "got nan"),
        (["C", "--hand", "tiny"], "input", "hand", "'tiny'"),
        (["C", "--frets", "-3-4"], "search", "frets", "-3-4"),
        (["C", "--frets", "9-3"], "search", "frets", "9 to 3"),
        (["C", "--span", "0"], "search", "span", "got 0"),
        (["C", "--level", "7"], "search", "level", "got 7"),
        (["C", "--capo", "-1"], "input", "capo", "-1"),
        (["C", "--capo", "14"], "tuning", "capo", "14"),
        (["C", "--tuning", "E2 " * 12], "tuning", "tuning", "got 12"),
        (["C", "--strings", "987"], "search", "strings", "987"),
        (["C13(#11,b9)", "--tuning", "G4 C4 E4 A4"], "search", "symbol", "4 strings"),
        (["C13", "--span", "1"], "search", "span", "a span of 1 fret"),
        (["C", "--frets", "0-3", "--top", "E5"], "search", "top", "E5 on top and frets 0 to 3"),
        (["C7", "--forbid", "3"], "search", "forbid", "needs its 3"),
        (["C7", "--require", "x"], "note", "degree", "'x'"),
        (["C", "--scale", "nan"], "input", "scale", "got nan"),
    ],
)  # fmt: skip
def test_errors_are_clear(args: list[str], code: str, field: str, told: str) -> None:
    """Exit code 2; the error names the field, the thing and a way out."""
    result = run(*args, "--json")
    error = json.loads(result.stdout)["error"]
    assert result.exit_code == 2
    assert (error["code"], error["field"]) == (code, field)
    assert told in error["message"] and error["remedy"]


@pytest.mark.parametrize(
    ("request_", "field"),
    [
        ({"symbol": 5}, "symbol"), ({"symbol": "C", "open": "often"}, "open"),
        ({"symbol": "C", "span": "4"}, "span"), ({"symbol": "C", "level": True}, "level"),
        ({"symbol": "C", "frets": {"a": 1}}, "frets"), ({"symbol": "C", "tuning": 5}, "tuning"),
        ({"symbol": "C", "first": 0}, "first"), ({"symbol": "C", "capo": [0, "2"]}, "capo"),
        ({"level": 3}, "symbol"),
    ],
)  # fmt: skip
def test_requests_of_the_wrong_kind_are_refused(request_: dict[str, object], field: str) -> None:
    """Each line gets its own error, by field, and nothing stops the batch."""
    result = run("--jsonl", stdin=json.dumps(request_) + '\n{"symbol": "C", "first": 1}\n')
    wrong, right = [json.loads(line) for line in result.stdout.splitlines()]
    assert wrong["error"]["field"] == field and wrong["error"]["remedy"]
    assert len(right["grips"]) == 1 and result.exit_code == 1


def test_nothing_asked_is_wrong_use() -> None:
    """Without a symbol the command says what to give."""
    result = run()
    assert result.exit_code == 2 and "Give a symbol" in result.output
