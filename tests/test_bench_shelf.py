"""The shelf on the bench: what it tells of this folder and of others, and what goes onto it."""

from __future__ import annotations

from pathlib import Path

import pytest

from asgi import Client
from gripwright.bench.app import make_app
from gripwright.lesson.text import parse
from gripwright.shelf.facts import facts_of
from gripwright.shelf.store import open_shelf

HOST = "127.0.0.1:8000"
LESSON = "---\ntitle: One\nkey: C major\n---\n\n```part Verse\n| x32010=C | 320003=G |\n```\n"


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Client:
    """Return a client of a bench on a folder with one lesson and a draft that is none yet."""
    monkeypatch.setenv("GRIPWRIGHT_SHELF", str(tmp_path / "shelf.sqlite"))
    folder = tmp_path / "opened"
    folder.mkdir()
    (folder / "one.md").write_text(LESSON, encoding="utf-8")
    (folder / "draft.md").write_text(LESSON.replace("320003=G", "32=G"), encoding="utf-8")
    return Client(make_app(folder, "t", (HOST,)), HOST, **{"x-bench-token": "t"})


@pytest.fixture
def elsewhere(tmp_path: Path) -> Path:
    """Return a lesson of another folder, which is on the shelf."""
    path = tmp_path / "private" / "other.md"
    path.parent.mkdir()
    text = LESSON.replace("One", "Other")
    path.write_text(text, encoding="utf-8")
    with open_shelf(tmp_path / "shelf.sqlite", make=True) as shelf:
        shelf.put(facts_of(path, text, parse(text)))
    return path


def test_the_lessons_of_the_folder_go_on_the_shelf(client: Client, tmp_path: Path) -> None:
    """Whole ones are put there and then wait no more; what is none is told and left."""
    assert client.get("/api/shelf").json()["waiting"] == ["draft.md", "one.md"]
    assert not (tmp_path / "shelf.sqlite").exists()
    put = client.post("/api/shelf", json={}).json()
    assert (put["lessons"], put["added"], put["refused"]) == (1, 1, ["draft.md"])
    assert client.get("/api/shelf").json()["waiting"] == ["draft.md"]
    (tmp_path / "opened" / "one.md").write_text(LESSON + "more\n", encoding="utf-8")
    assert "one.md" in client.get("/api/shelf").json()["waiting"]


def test_a_place_of_the_folder_can_be_opened_and_another_is_only_named(
    client: Client, elsewhere: Path
) -> None:
    """Where a file of another folder lies is not told to the window."""
    client.post("/api/shelf", json={})
    answer = client.post("/api/find", json={"query": "320003"})
    rows = [(one["path"], one["opens"], one["missing"]) for one in answer.json()["found"]]
    assert rows == [("other.md", False, False), ("one.md", True, False)]
    assert str(elsewhere.parent) not in answer.text
    elsewhere.unlink()
    gone = client.post("/api/find", json={"query": "320003"}).json()["found"][0]
    assert (gone["path"], gone["missing"]) == ("other.md", True)


def test_each_habit_says_how_to_find_its_places(client: Client, elsewhere: Path) -> None:
    """Asked as it says, the shelf finds as many places as the habit has."""
    report = client.post("/api/report", json={}).json()
    asked = [one for name in ("grips", "qualities", "moves") for one in report[name]]
    assert asked
    for one in asked:
        question = {"query": one["query"], "moved": one["moved"]}
        assert len(client.post("/api/find", json=question).json()["found"]) == one["chords"]


def test_what_a_lesson_brings_is_said_in_words(client: Client, elsewhere: Path) -> None:
    """A lesson that repeats what is there brings nothing new."""
    brings = {one["name"]: one for one in client.post(
        "/api/next", json={"path": "one.md"}).json()["brings"]}  # fmt: skip
    assert (brings["grips"]["new"], brings["grips"]["again"]) == ([], 2)


def test_without_a_shelf_a_search_says_what_to_do(client: Client, tmp_path: Path) -> None:
    """The refusal has a remedy and names no folder of the machine."""
    answer = client.post("/api/find", json={"query": "C"})
    assert answer.status_code == 422
    assert "shelf add" in answer.json()["error"]["remedy"]
    assert str(tmp_path) not in answer.text
