"""The shelf: what goes in comes out, and what is found, counted and suggested is in the lessons."""

from __future__ import annotations

import json
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gripwright.cli.main import root
from gripwright.errors import InputError
from gripwright.lesson.text import parse
from gripwright.shelf.ahead import LATELY, ahead, novelty
from gripwright.shelf.facts import LessonFacts, facts_of
from gripwright.shelf.find import find
from gripwright.shelf.report import Habit, report
from gripwright.shelf.stock import DEVICES, QUALITIES
from gripwright.shelf.store import VERSION, Shelf, default_path, open_shelf
from gripwright.theory.symbol import parse_symbol
from json_shape import SCHEMAS, _faults

ROOT = Path(__file__).parents[1]
TEXT = "---\ntitle: {title}\nkey: {key}\nlevel: {level}\n---\n\n```part Song\n| {bars} |\n```\n"
CADENCE = "x5756x=Dm7 | 3x343x=G7 | x3545x=Cmaj7"


def facts(title: str, bars: str, key: str = "C major", level: int = 3) -> LessonFacts:
    """Return the facts of a small lesson."""
    text = TEXT.format(title=title, key=key, level=level, bars=bars)
    parsed = parse(text)
    assert parsed.lesson is not None, parsed.problems
    return facts_of(Path("/lessons") / f"{title}.md", text, parsed)


@pytest.fixture
def shelf(tmp_path: Path):
    """Return an empty shelf."""
    with open_shelf(tmp_path / "deep" / "shelf.sqlite", make=True) as opened:
        yield opened


def test_a_lesson_is_added_kept_and_updated(shelf: Shelf) -> None:
    """By its path and its text; an update leaves nothing of the old one."""
    assert shelf.put(facts("One", CADENCE)) == "added"
    assert shelf.put(facts("One", CADENCE)) == "unchanged"
    assert shelf.put(facts("One", "x3545x=Cmaj7")) == "updated"
    assert (shelf.size, report(shelf).chords) == (1, 1)
    assert find(shelf, "Dm7")[1] == ()


def test_what_is_kept_of_a_chord(shelf: Shelf) -> None:
    """Its place, name, grip, shape, top note, numeral and key."""
    use = facts("One", CADENCE).uses[1]
    assert (use.part, use.bar, use.line, use.symbol, use.grip) == ("Song", 2, 8, "G7", "3x343x")
    assert (use.shape, use.top, use.numeral, use.key) == ("1x121x", "5", "V7", "C major")


def test_shapes_move_and_open_strings_do_not() -> None:
    """The same hand two frets up is the same shape; an open string makes another."""
    from_grip = facts("One", "x3545x=Cmaj7 | x5767x=Dmaj7 | x32010=C").uses
    assert [use.shape for use in from_grip] == ["x1323x", "x1323x", ""]


def test_grips_shapes_symbols_and_qualities_are_found(shelf: Shelf) -> None:
    """In the order of the shelf, read for what they are."""
    shelf.put(facts("One", CADENCE))
    shelf.put(facts("Two", "x5767x=Dmaj7 | x3545x=Cmaj7"))
    kind, found = find(shelf, "x3545x")
    assert kind == "grip" and [(f.title, f.bar) for f in found] == [("One", 3), ("Two", 2)]
    kind, found = find(shelf, "x3545x", moved=True)
    assert kind == "shape" and [f.symbol for f in found] == ["Cmaj7", "Dmaj7", "Cmaj7"]
    assert find(shelf, "CΔ7")[0] == "symbol" and len(find(shelf, "CΔ7")[1]) == 2
    assert len(find(shelf, "Ebmaj7", moved=True)[1]) == 3


def test_numerals_are_found_in_a_row(shelf: Shelf) -> None:
    """Only where each follows the one before in the same key."""
    shelf.put(facts("One", CADENCE))
    kind, found = find(shelf, "ii7 V7 Imaj7")
    assert kind == "numerals" and [(f.symbol, f.bar) for f in found] == [("Dm7", 1)]
    assert find(shelf, "V7 ii7")[1] == ()


def test_devices_and_titles_are_found(shelf: Shelf) -> None:
    """A remark by its name, else words of the title in any case."""
    shelf.put(facts("The Low Gate", CADENCE))
    assert find(shelf, "two five one")[0] == "remark"
    kind, found = find(shelf, "low GATE")
    assert kind == "title" and found[0].title == "The Low Gate" and found[0].is_missing


def test_the_report_counts_lessons_before_chords(shelf: Shelf) -> None:
    """What one song repeats comes after what two songs have once."""
    shelf.put(facts("One", "x3545x=Cmaj7 | x02010=Am7 | x3545x=Cmaj7 | x02010=Am7 | x3545x=Cmaj7"))
    shelf.put(facts("Two", "x02010=Am7 | 3x345x=G13"))
    habits = report(shelf).habits
    assert habits["qualities"][:2] == (Habit("m7", 3, 2), Habit("maj7", 3, 1))
    assert habits["tensions"] == (Habit("13", 1, 1), Habit("9", 1, 1))
    assert Habit("Imaj7 vi7", 2, 1) in habits["moves"]
    assert habits["keys"] == (Habit("C major", 0, 2),)


def test_what_was_taught_once_and_long_ago_is_due(shelf: Shelf) -> None:
    """Not what the last lessons had, nor what two had."""
    shelf.put(facts("First", "3x345x=G13 | x02010=Am7"))
    for number in range(LATELY):
        assert "13" not in [s.what for s in ahead(shelf) if s.why == "again"]
        shelf.put(facts(f"Later {number}", "x02010=Am7"))
    assert [s.what for s in ahead(shelf) if s.why == "again"] == ["13"]


def test_new_things_stay_within_the_level(shelf: Shelf) -> None:
    """One above the usual level of the lessons, or the level that is asked for."""
    shelf.put(facts("One", CADENCE, level=1))
    levels = dict(QUALITIES) | dict(DEVICES)
    new = [s.what for s in ahead(shelf) if s.why == "new"]
    assert new and {levels[what] for what in new} <= {1, 2}
    assert "maj7" not in new
    assert "7alt" in [s.what for s in ahead(shelf, 5)]


def test_a_mode_that_is_left_out_is_told(shelf: Shelf) -> None:
    """From five lessons on."""
    for number in range(5):
        assert not [s for s in ahead(shelf) if s.why == "neglected"]
        shelf.put(facts(f"Song {number}", CADENCE))
    (told,) = (s for s in ahead(shelf) if s.why == "neglected")
    assert told.text == "minor keys: 0 of 5 lessons"


def test_what_a_lesson_brings_leaves_itself_aside(shelf: Shelf) -> None:
    """Shelved or not, its own chords are new where no other lesson has them."""
    shelf.put(facts("One", CADENCE))
    other = facts("Two", "x3545x=Cmaj7 | 3x345x=G13")
    before = novelty(shelf, other)
    shelf.put(other)
    assert novelty(shelf, other) == before
    assert before.new["qualities"] == ("13",) and before.new["grips"] == ("3x345x",)
    assert before.again["grips"] == ("x3545x",)


def test_the_stock_is_of_symbols_that_read() -> None:
    """In the writing that the shelf keeps, each once."""
    assert len({what for what, _ in QUALITIES}) == len(QUALITIES) > 20
    assert all(parse_symbol(f"C{what}").text == f"C{what}" for what, _ in QUALITIES)
    page = (ROOT / "docs" / "harmony.md").read_text(encoding="utf-8")
    assert [kind for kind, _ in DEVICES if f"`{kind}`" not in page] == []


def test_a_lesson_without_chords_can_be_shelved(shelf: Shelf) -> None:
    """It has no chords to find, and its title."""
    assert facts("Bare", "rest").uses == ()


def test_the_place_of_the_shelf(monkeypatch: pytest.MonkeyPatch) -> None:
    """By variable, by the XDG data folder, and a relative one of those is ignored."""
    assert default_path({"GRIPWRIGHT_SHELF": "/a/b"}) == Path("/a/b")
    assert default_path({"XDG_DATA_HOME": "/d"}) == Path("/d/gripwright/shelf.sqlite")
    assert default_path({"XDG_DATA_HOME": "d"}) == default_path({})


def test_what_is_no_shelf_is_refused_and_left_whole(tmp_path: Path) -> None:
    """No file, another program's database, a newer version, no database at all."""
    with pytest.raises(InputError, match="no shelf at"), open_shelf(tmp_path / "none"):
        pass
    for name, script in (("other", "CREATE TABLE x (y)"),
                         ("newer", f"PRAGMA user_version = {VERSION + 1}")):  # fmt: skip
        with sqlite3.connect(tmp_path / name) as made:
            made.execute(script)
    (tmp_path / "text").write_text("no database " * 100, encoding="utf-8")
    for name, told in (("other", "another program"), ("newer", "version"), ("text", "cannot be")):
        before = (tmp_path / name).read_bytes()
        with pytest.raises(InputError, match=told), open_shelf(tmp_path / name, make=True):
            pass
        assert (tmp_path / name).read_bytes() == before


def test_many_at_once(tmp_path: Path) -> None:
    """Eight begin one shelf and add to it at the same time; none is lost."""

    def add(number: int) -> None:
        with open_shelf(tmp_path / "s", make=True) as opened:
            opened.put(facts(f"Song {number}", CADENCE))

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(add, range(8)))
    with open_shelf(tmp_path / "s") as opened:
        assert opened.size == 8


def run(tmp_path: Path, *args: str) -> Result:
    """Run the command on a shelf of its own."""
    return CliRunner().invoke(root, ["shelf", *args, "--shelf", str(tmp_path / "s.sqlite")])


def test_from_files_to_answers(tmp_path: Path) -> None:
    """Every answer keeps its schema; a file that is no lesson is told and the rest go on."""
    (tmp_path / "bad.md").write_text("nothing", encoding="utf-8")
    demo, bad = str(ROOT / "demo"), str(tmp_path / "bad.md")
    asked = {
        "add": (1, [demo, bad]), "find": (0, ["x3333x"]), "report": (0, []), "next": (0, []),
        "drop": (0, [f"{demo}/lamps-along-the-weir.md"]),
    }  # fmt: skip
    schema = json.loads((SCHEMAS / "shelf.json").read_text(encoding="utf-8"))
    shapes = {shape["title"]: shape for shape in schema["oneOf"]}
    for name, (code, args) in asked.items():
        result = run(tmp_path, name, *args, "--json")
        answer = json.loads(result.output)
        assert result.exit_code == code, result.output
        assert _faults(answer, shapes[name], schema, name) == []
    assert json.loads(run(tmp_path, "report", "--json").output)["lessons"] == 1


def test_people_get_columns(tmp_path: Path) -> None:
    """What they read names file, line, part and bar."""
    assert "2 lessons on the shelf" in run(tmp_path, "add", str(ROOT / "demo")).output
    found = run(tmp_path, "find", "x3534x").output
    assert "lamps-along-the-weir.md:121" in found and "Bridge, bar 5" in found
    assert "Due again" in run(tmp_path, "next").output or "New" in run(tmp_path, "next").output
    lesson = str(ROOT / "demo" / "lamps-along-the-weir.md")
    assert "new to the shelf" in run(tmp_path, "next", lesson).output
    assert "Qualities" in run(tmp_path, "report").output


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["find", " "], "empty"), (["find", "x32010", "--moved"], "open strings"),
        (["next", "nowhere.md"], "nowhere.md"), (["add", "nowhere"], "nowhere"),
        (["drop", "nowhere.md"], "not there"),
    ],
)  # fmt: skip
def test_errors_are_clear(tmp_path: Path, args: list[str], told: str) -> None:
    """A code above 0, and the thing by name."""
    run(tmp_path, "add", str(ROOT / "demo"))
    result = run(tmp_path, *args)
    assert result.exit_code > 0
    assert told in result.output + result.stderr
