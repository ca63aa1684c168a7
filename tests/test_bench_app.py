"""The bench's API: lessons, edits and conflicts, intents, questions."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asgi import Client
from gripwright.bench.app import make_app

HOST = "127.0.0.1:8000"
LESSON = """---
title: Two Windows
tempo: 84
metre: 4/4
key: C major
---

Prose stays as it is: a‿b ♭ 𝄫.

```part Verse
| x3243x=Cmaj9 / A7(b9) / | Dm9 | G13 / / / |
```
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with one lesson."""
    (tmp_path / "one.md").write_text(LESSON, encoding="utf-8")
    return tmp_path


@pytest.fixture
def client(folder: Path) -> Client:
    """Return a client that carries the token."""
    return Client(make_app(folder, "t", (HOST,)), HOST, **{"x-bench-token": "t"})


def _lesson(client: Client) -> dict[str, object]:
    answer: dict[str, object] = client.get("/api/lesson?path=one.md").json()
    return answer


def test_the_folder_lists_lessons_by_title(client: Client) -> None:
    """A lesson is shown by the title in its front matter."""
    assert client.get("/api/folder").json()["lessons"] == [
        {"path": "one.md", "title": "Two Windows"}
    ]


def test_a_lesson_is_drawn_from_its_values(client: Client) -> None:
    """Bars, beats, runs and the grip in words reach the page."""
    bar = client.get("/api/lesson?path=one.md").json()["parts"][0]["bars"][0]
    first = bar["events"][0]
    assert [event["beats"] for event in bar["events"]] == [1, 1, 1, 1]
    assert (first["symbol"], first["grip"]) == ("Cmaj9", "x3243x")
    assert "string 5 fret 3" in first["words"]


def test_an_edit_changes_only_its_span(client: Client, folder: Path) -> None:
    """Text around an edit stays byte for byte, and the inverse brings the file back."""
    base = _lesson(client)
    start = LESSON.index("Dm9")
    body = {"path": "one.md", "base_sha256": base["sha256"], "start": start, "end": start + 3,
            "text": "Dm11"}  # fmt: skip
    answer = client.post("/api/edit", json=body).json()
    assert (folder / "one.md").read_text("utf-8") == LESSON.replace("Dm9", "Dm11")
    undo = {"path": "one.md", "base_sha256": answer["lesson"]["sha256"], **answer["inverse"]}
    client.post("/api/edit", json=undo)
    assert (folder / "one.md").read_text("utf-8") == LESSON


def test_two_windows_never_lose_an_edit(client: Client, folder: Path) -> None:
    """The second of two edits on one base is refused with the file as it is now."""
    sha = _lesson(client)["sha256"]
    place = {"path": "one.md", "base_sha256": sha, "intent": "set_chord"}
    first = {"args": {"part": 0, "bar": 1, "event": 0, "writing": "Dm7"}}
    second = {"args": {"part": 0, "bar": 2, "event": 0, "writing": "G7"}}
    assert client.post("/api/intent", json={**place, **first}).status_code == 200
    refused = client.post("/api/intent", json={**place, **second})
    assert refused.status_code == 409
    assert refused.json()["lesson"]["text"] == (folder / "one.md").read_text("utf-8")
    again = {**place, **second, "base_sha256": refused.json()["lesson"]["sha256"]}
    assert client.post("/api/intent", json=again).status_code == 200
    text = (folder / "one.md").read_text("utf-8")
    assert "Dm7" in text
    assert "G7 /" in text


@pytest.mark.parametrize(
    ("intent", "args", "there"),
    [
        ("insert_chord", {"event": 0, "bar": 1, "writing": "F6"}, "| Dm9 _ F6 _ |"),
        ("insert_chord", {"event": 0, "bar": 2, "writing": "Db7"}, "G13 / Db7 /"),
        (
            "carry_chord",
            {"event": 0, "bar": 1, "to_part": 0, "to_bar": 2, "to_beat": 1},
            "| rest | G13 Dm9 _ _ |",
        ),
        ("move_chord", {"event": 2, "bar": 0, "by": -1}, "| A7(b9) / x3243x=Cmaj9 / |"),
        ("stretch_chord", {"event": 0, "bar": 1, "to_beat": 3}, "Dm9 _ _ rest"),
        ("stretch_chord", {"event": 0, "bar": 0, "beats": 1}, "_ A7(b9)"),
        ("delete_chord", {"event": 0, "bar": 1}, "rest"),
        ("insert_bar", {"bar": 1}, "| rest |"),
        ("copy_bar", {"bar": 1}, "| Dm9 | Dm9 |"),
        ("delete_bar", {"bar": 1}, None),
        ("push_chord", {"event": 0, "bar": 1, "marks": 1}, "<Dm9"),
        ("append_chord", {"writing": "C6/9"}, "C6/9"),
    ],
)
def test_an_intent_becomes_an_edit_and_is_undone(
    client: Client, folder: Path, intent: str, args: dict[str, object], there: str | None
) -> None:
    """What a key means in the chart is written to the file, and undo takes it back exactly."""
    sha = _lesson(client)["sha256"]
    body = {"path": "one.md", "base_sha256": sha, "intent": intent, "args": {"part": 0, **args}}
    answer = client.post("/api/intent", json=body).json()
    text = (folder / "one.md").read_text("utf-8")
    assert text != LESSON
    assert there is None or there in text
    undo = {"path": "one.md", "base_sha256": answer["lesson"]["sha256"], **answer["inverse"]}
    client.post("/api/edit", json=undo)
    assert (folder / "one.md").read_text("utf-8") == LESSON


def test_a_new_lesson_opens_without_problems(client: Client) -> None:
    """A lesson started on the bench is a whole lesson from its first moment."""
    body = {"title": "Ænglisc: tide <b>", "tuning": "D2 A2 D3 G3 B3 E4"}
    path = client.post("/api/new", json=body).json()["path"]
    lesson = client.get(f"/api/lesson?path={path}").json()
    assert lesson["problems"] == []
    assert lesson["tuning"] == "D2 A2 D3 G3 B3 E4"


def test_a_bad_tuning_starts_no_lesson(client: Client, folder: Path) -> None:
    """A tuning that does not parse is refused before anything is written."""
    answer = client.post("/api/new", json={"title": "X", "tuning": "E2 ?"})
    assert answer.status_code == 422
    assert sorted(path.name for path in folder.iterdir()) == ["one.md"]


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/api/edit", {"path": "one.md"}),
        ("/api/edit", {"path": "../x.md", "base_sha256": "", "start": 0, "end": 0, "text": ""}),
        ("/api/intent", {"path": "one.md", "base_sha256": "", "intent": "dance", "args": {}}),
        ("/api/name", {"grip": "x99"}),
        ("/api/name", []),
        ("/api/proof", {"path": 3}),
    ],
)
def test_a_bad_request_is_answered_with_a_remedy_not_a_crash(
    client: Client, path: str, body: object
) -> None:
    """Wrong fields, paths and names are refused in the contract's shape."""
    answer = client.post(path, json=body)
    assert answer.status_code in (409, 422)
    assert answer.json()["error"]["message"]


def test_a_question_answers_as_the_command_does(client: Client) -> None:
    """The page gets the command's answer, with runs for typesetting beside it."""
    told = client.post("/api/name", json={"grip": "x35453"}).json()
    assert told["contract"] == 1
    assert told["readings"][0]["harte"] == "C:maj7"
    assert told["readings"][0]["runs"][0]["text"] == "C"


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25, deadline=None
)
@given(st.text(max_size=30), st.integers(-5, 400), st.integers(-5, 400))
def test_hostile_edits_are_refused_or_stay_in_their_span(
    client: Client, folder: Path, text: str, start: int, end: int
) -> None:
    """Whatever an edit holds, the file is the old text or the old text with that span replaced."""
    (folder / "one.md").write_text(LESSON, encoding="utf-8")
    sha = _lesson(client)["sha256"]
    body = {"path": "one.md", "base_sha256": sha, "start": start, "end": end, "text": text}
    answer = client.post("/api/edit", json=body)
    now = (folder / "one.md").read_bytes().decode("utf-8")
    if answer.status_code == 200:
        assert now == LESSON[:start] + text + LESSON[end:]
    else:
        assert now == LESSON


def test_a_lesson_taken_away_while_it_is_open_is_said(client: Client, folder: Path) -> None:
    """Reading and changing what was renamed or deleted names the file and what to look for."""
    sha = _lesson(client)["sha256"]
    (folder / "one.md").rename(folder / "two.md")
    edit = {"path": "one.md", "base_sha256": sha, "start": 0, "end": 0, "text": "x"}
    for answer in (client.get("/api/lesson?path=one.md"), client.post("/api/edit", json=edit)):
        assert answer.status_code == 422
        assert "not there any more" in answer.json()["error"]["message"]
        assert "renamed" in answer.json()["error"]["remedy"]
    assert [path.name for path in folder.iterdir()] == ["two.md"]


def test_a_folder_taken_away_is_said(client: Client, folder: Path) -> None:
    """Where the folder itself has gone the list says so and is not merely empty."""
    aside = folder.with_name("aside")
    folder.rename(aside)
    answer = client.get("/api/folder")
    assert answer.status_code == 422
    assert "not there any more" in answer.json()["error"]["message"]
    aside.rename(folder)
    assert client.get("/api/folder").json()["lessons"]


def test_two_lessons_may_have_one_title(client: Client, folder: Path) -> None:
    """A second lesson of the same title gets a file of its own; nothing is written over."""
    body = {"title": "Two Windows", "tuning": "E2 A2 D3 G3 B3 E4"}
    paths = [client.post("/api/new", json=body).json()["path"] for _ in range(3)]
    assert paths == ["two-windows.md", "two-windows-2.md", "two-windows-3.md"]
    assert (folder / "one.md").read_text("utf-8") == LESSON
    titles = [row["title"] for row in client.get("/api/folder").json()["lessons"]]
    assert titles == ["Two Windows"] * 4


def test_a_full_disk_loses_nothing(
    client: Client, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The edit is refused with the reason and the remedy, the file is what it was."""

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    edit = {"path": "one.md", "base_sha256": _lesson(client)["sha256"], "start": 0, "end": 3}
    monkeypatch.setattr(os, "fsync", full)
    answer = client.post("/api/edit", json={**edit, "text": "x"})
    assert answer.status_code == 507
    assert "the disk is full" in answer.json()["error"]["message"]
    assert "free some space" in answer.json()["error"]["remedy"]
    assert (folder / "one.md").read_text("utf-8") == LESSON
    assert [path.name for path in folder.iterdir()] == ["one.md"]


def test_an_answer_names_the_text_that_it_is_about(client: Client, folder: Path) -> None:
    """A window can tell whether what is said of a lesson is said of what it shows."""
    for name in ("explain", "proof", "arrange", "tunings", "play"):
        sha = _lesson(client)["sha256"]
        assert client.post(f"/api/{name}", json={"path": "one.md"}).json()["sha256"] == sha
    (folder / "one.md").write_text(LESSON + "more\n", encoding="utf-8")
    assert client.post("/api/proof", json={"path": "one.md"}).json()["sha256"] != sha
