"""``gripwright name`` from outside: answers, schema, lines, clear errors."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

import json_shape
from gripwright.cli.name import command
from gripwright.errors import GripError


def run(*args: str, stdin: str | None = None) -> Result:
    """Run the command."""
    return CliRunner().invoke(command, list(args), input=stdin)


@pytest.mark.parametrize("grip", ["x35453", "xx0101", "x-11-7-3-x-x", "022100"])
def test_the_answer_keeps_its_schema(grip: str) -> None:
    """A chord, a symmetric one, a cluster."""
    answer = json.loads(run(grip, "--json").stdout)
    assert json_shape.faults(answer, "name") == []
    assert answer["grip"] == grip and answer["contract"] == 1


def test_a_cluster_tells_its_intervals() -> None:
    """Degrees above the bass instead of a symbol."""
    (reading,) = json.loads(run("x-11-7-3-x-x", "--json").stdout)["readings"]
    assert (reading["symbol"], reading["quality"]) == (None, "cluster")
    assert reading["intervals"] == ["1", "b9", "9"]


def test_notes_are_those_of_the_first_reading() -> None:
    """ASCII names, bass-side string first, frets from the capo."""
    answer = json.loads(run("x32343", "--json", "--capo", "2", "--key", "G minor").stdout)
    assert answer["capo"] == 2
    assert answer["midi"] == [50, 54, 60, 65, 69]
    assert answer["readings"][0]["symbol"] == "D7(#9)"
    assert [tone["note"] for tone in answer["readings"][0]["tones"]] == answer["notes"]
    assert answer["notes"][:2] == ["D3", "F#3"]


def test_people_read_names_degrees_and_reasons() -> None:
    """Printed accidentals, one line a string, sentences."""
    page = run("x32310").output
    assert "C7, " in page and "string 3, fret 3" in page and "B♭3" in page and "♭7" in page
    assert "The root C sounds twice and in the bass." in page


def test_tunings_and_neighbours_are_options() -> None:
    """A dropped string; the chord after."""
    dropped = run("000232", "--tuning", "D2 A2 D3 G3 B3 E4", "--json")
    assert json.loads(dropped.stdout)["readings"][0]["symbol"] == "D"
    onward = run("x35555", "--after", "D7", "--json")
    assert json.loads(onward.stdout)["readings"][0]["harte"] == "A:min7/b3"


def test_lines_are_answered_in_order_and_in_place() -> None:
    """Each with its id; rubbish gets its error and the rest go on."""
    lines = [
        '{"id": 1, "grip": "x35453"}', "rubbish", '{"id": "b", "grip": "x3xxxx"}', "[1]",
        '{"id": 4, "grip": "x32010", "key": "H major"}', '{"id": 5, "grip": 35453}',
        '{"id": 6, "grip": "x32010", "colour": "red"}', '{"id": 7, "grip": "x32010", "capo": true}',
        '{"id": 8}', '{"id": 9, "grip": "022100", "strict": true, "capo": 1}',
    ]  # fmt: skip
    result = run("--jsonl", stdin="\n".join(lines))
    answers = [json.loads(line) for line in result.stdout.splitlines()]
    assert result.exit_code == 1
    assert [answer.get("id") for answer in answers] == [1, None, "b", None, 4, 5, 6, 7, 8, 9]
    fields = [answer["error"]["field"] if "error" in answer else "" for answer in answers]
    assert fields == ["", "line", "grip", "line", "key", "grip", "colour", "capo", "grip", ""]
    assert answers[9]["readings"][0]["symbol"] == "F"


@pytest.mark.parametrize(
    ("args", "code", "field"),
    [
        (["x3545"], "grip", "grip"), (["x3xxxx"], "grip", "grip"), (["banana"], "grip", "grip"),
        (["x35453", "--tuning", "E A D"], "tuning", "tuning"),
        (["x35453", "--capo", "40"], "tuning", "capo"),
        (["x35453", "--key", "C happy"], "note", "key"),
        (["x35453", "--after", "Cmajj7"], "symbol", "after"),
        (["x35453", "--before", "H"], "symbol", "before"), (["Cmaj7"], "grip", "grip"),
    ],
)  # fmt: skip
def test_bad_input_is_told_in_place(args: list[str], code: str, field: str) -> None:
    """Exit 2 and an error object with a remedy."""
    result = run(*args, "--json")
    error = json.loads(result.stdout)["error"]
    assert (result.exit_code, error["code"], error["field"]) == (2, code, field)
    assert error["remedy"]


def test_a_chord_name_is_sent_where_its_grips_are() -> None:
    """It is no grip, and another command has them."""
    error = json.loads(run("F#m7b5", "--json").stdout)["error"]
    assert "chord name" in error["message"] and "grips 'F#m7(b5)'" in error["remedy"]


def test_a_dash_before_the_first_fret_is_no_option() -> None:
    """The remedy writes the grip as it may have been meant; a minus of an option stays its own."""
    error = run("-1-2-3").exception
    assert isinstance(error, GripError) and "1-2-3 or x-1-2-3" in str(error.remedy)
    assert "whole number" in run("x35453", "--capo", "-12").output


def test_no_grip_at_all_is_wrong_use() -> None:
    """The message says what to give."""
    result = run()
    assert result.exit_code == 2 and "x35453" in result.output
