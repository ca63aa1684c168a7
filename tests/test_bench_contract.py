"""Every call, intent and event of the bench holds to the schema that is published.

The tables below are walked against those of the bench: a row that has no example fails.
Schemas are judged by the reference library ``jsonschema`` (JSON Schema 2020-12).
"""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from typing import Any, get_args

import msgspec
import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from starlette.routing import Route

from asgi import Client
from gripwright.bench.app import make_app
from gripwright.bench.calls import CallRoute
from gripwright.bench.intents import INTENTS
from gripwright.bench.wire.answers import Job, Pack, Product
from gripwright.bench.wire.events import (
    AnyEvent,
    Beat,
    FolderChanged,
    Hello,
    JobChanged,
    LessonChanged,
    Reload,
)
from gripwright.dsp.sound_file import write_flac
from gripwright.dsp.strings import render
from gripwright.lesson.perform import perform
from gripwright.lesson.text import parse
from gripwright.shelf.facts import facts_of
from gripwright.shelf.store import open_shelf
from gripwright.timing import steady

ROOT = Path(__file__).parents[1]
SCHEMAS = ROOT / "docs" / "schemas"
HOST = "127.0.0.1:8000"
LESSON = """---
title: A Contract
tempo: 120
key: C major
---

```part Verse
| x32010=C / x02210=Am / | xx0232=D | 320003=G |
```
"""
BASE = "the hash of the text"  # put in by `_asked`
EXAMPLES: dict[str, dict[str, Any]] = {
    "GET /api/folder": {},
    "GET /api/lesson": {"path": "one.md"},
    "POST /api/new": {"title": "Another", "tuning": "E2 A2 D3 G3 B3 E4"},
    "POST /api/edit": {"path": "one.md", "base_sha256": BASE, "start": 0, "end": 0, "text": ""},
    "POST /api/intent": {"path": "one.md", "base_sha256": BASE, "intent": "insert_bar",
                         "args": {"part": 0, "bar": 1}},
    "GET /api/preview": {"path": "one.md"},
    "POST /api/name": {"grip": "x35453", "key": "C major", "capo": 0},
    "POST /api/grips": {"symbol": "Cmaj7", "level": 3, "frets": "0-5", "first": 4},
    "POST /api/explain": {"path": "one.md"},
    "POST /api/proof": {"path": "one.md", "take": "take.flac", "captions": "cut.vtt"},
    "POST /api/arrange": {"path": "one.md", "level": 2, "aim": "worst", "keep": False,
                          "job": "0123456789abcdef"},
    "POST /api/tunings": {"path": "one.md"},
    "POST /api/play": {"path": "one.md"},
    "GET /api/take": {"path": "take.flac"},
    "POST /api/take": {"name": "other take.flac"},
    "GET /api/audio": {"path": "take.flac", "from": 1, "to": 1.5, "speed": 50, "cents": -20,
                       "band": "bass", "grip": "x32010"},
    "POST /api/span": {"path": "take.flac", "from_s": 1, "to_s": 2.5},
    "POST /api/hear": {"path": "take.flac", "tuning": "E2 A2 D3 G3 B3 E4", "capo": 0},
    "POST /api/sync": {"path": "take.flac", "lesson": "one.md"},
    "POST /api/correct": {"lesson": "one.md", "number": 1, "start_s": 1.51},
    "POST /api/build": {"path": "one.md", "anyway": True, "take": "take.flac", "film": False,
                        "background": "navy"},
    "GET /api/shelf": {},
    "POST /api/shelf": {"job": "0123456789abcdef"},
    "POST /api/find": {"query": "Cmaj7", "moved": True},
    "POST /api/report": {},
    "POST /api/next": {"path": "one.md", "level": 3},
    "POST /api/cancel": {"id": "none of these"},
    "POST /api/ticket": {"id": "built", "path": "handout.pdf"},
    "GET /api/events": {},
}  # fmt: skip
FIRST = {"part": 0, "bar": 0, "event": 0}
INTENT_EXAMPLES: dict[str, dict[str, Any]] = {
    "set_chord": {**FIRST, "writing": "C6"},
    "insert_chord": {"part": 0, "bar": 1, "event": 0, "writing": "F6"},
    "stretch_chord": {"part": 0, "bar": 0, "event": 0, "beats": -1},
    "carry_chord": {**FIRST, "to_part": 0, "to_bar": 2, "to_beat": 1, "copy": True},
    "append_chord": {"part": 0, "writing": "C6/9"},
    "delete_chord": FIRST,
    "move_chord": {**FIRST, "by": 1},
    "push_chord": {"part": 0, "bar": 1, "event": 0, "marks": 1},
    "insert_bar": {"part": 0, "bar": 1},
    "copy_bar": {"part": 0, "bar": 1},
    "delete_bar": {"part": 0, "bar": 1},
    "add_part": {"name": "Bridge"},
    "set_front": {"field": "tempo", "value": "96"},
    "take_arrangement": {"level": 5, "aim": "total", "keep": True},
}
JOB = Job("built", stage="handout", done=1, state="done",
          result=Pack("built-pack", [Product("handout.pdf", "handout", 3)]))  # fmt: skip
EVENTS: list[AnyEvent] = [
    Hello(), Beat(), Reload(), FolderChanged(), LessonChanged("one.md", "00"), JobChanged(JOB),
    JobChanged(Job("0123456789abcdef", "hear", "take.flac", stage="listening", done=0.5)),
]  # fmt: skip


def _documents() -> dict[str, Any]:
    return {path.name: json.loads(path.read_text("utf-8")) for path in SCHEMAS.glob("*.json")}


DOCUMENTS = _documents()
BESIDE: dict[str, Any] = {
    "registry": Registry().with_resources(
        (name, Resource.from_contents(document)) for name, document in DOCUMENTS.items()
    )
}
BENCH = DOCUMENTS["bench.json"]


def _faults(value: Any, pointer: str) -> list[str]:
    """Return where a value departs from the schema at a pointer into the published document."""
    checker = Draft202012Validator({"$ref": f"bench.json#{pointer}"}, **BESIDE)
    return [f"{error.json_path}: {error.message}" for error in checker.iter_errors(value)]


def _at(*names: str) -> str:
    return "".join("/" + name.replace("~", "~0").replace("/", "~1") for name in names)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a lesson, a take of it and a product of its pack."""
    folder = tmp_path_factory.mktemp("contract")
    (folder / "one.md").write_text(LESSON, encoding="utf-8")
    lesson = parse(LESSON).lesson
    assert lesson is not None
    tempo = steady(lesson.tempo_bpm, lesson.metre, start_s=1.0)
    write_flac(folder / "take.flac", render(perform(lesson), lesson.neck, tempo), 44_100)
    (folder / "cut.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:02.500\nA minor\n", "utf-8")
    (folder / "built-pack").mkdir()
    (folder / "built-pack" / "handout.pdf").write_bytes(b"pdf")
    return folder


@pytest.fixture
def folder(whole: Path, tmp_path: Path) -> Path:
    """Return a copy of the folder, so that no test meets what another has done."""
    return Path(shutil.copytree(whole, tmp_path / "folder"))


@pytest.fixture
def client(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Client:
    """Return a client that carries the token, of a bench that has built a pack."""
    monkeypatch.setenv("GRIPWRIGHT_SHELF", str(tmp_path / "shelf.sqlite"))
    with open_shelf(tmp_path / "shelf.sqlite", make=True) as shelf:
        shelf.put(facts_of(folder / "one.md", LESSON, parse(LESSON)))
    app = make_app(folder, "t", (HOST,))
    app.state.jobs.built = JOB
    packs = app.state.packs
    packs.folders["built"], packs.products["built"] = "built-pack", frozenset({"handout.pdf"})
    return Client(app, HOST, **{"x-bench-token": "t"})


def _asked(client: Client, name: str) -> dict[str, Any]:
    asked = dict(EXAMPLES[name])
    if "base_sha256" in asked:
        asked["base_sha256"] = client.get("/api/lesson?path=one.md").json()["sha256"]
    return asked


def _send(client: Client, name: str, asked: Any, folder: Path) -> Any:
    method, path = name.split()
    if "query" in BENCH["calls"][name]:
        body = (folder / "take.flac").read_bytes() if method == "POST" else None
        return client.request(method, path, params=asked, content=body)
    return client.post(path, json=asked)


def test_the_published_schema_is_that_of_the_types() -> None:
    """The file in docs/ is what its script writes."""
    sys.path.insert(0, str(ROOT / "scripts"))
    import build_bench_schema

    sys.path.pop(0)
    assert (SCHEMAS / "bench.json").read_text("utf-8") == build_bench_schema.text()


def test_every_route_is_a_call_and_every_call_has_an_example(tmp_path: Path) -> None:
    """Nothing answers under /api that is not published."""
    routes = [r for r in make_app(tmp_path, "t", ()).routes if isinstance(r, Route)]
    api = [route for route in routes if route.path.startswith("/api")]
    assert api
    assert [route.path for route in api if not isinstance(route, CallRoute)] == []
    names = {f"{r.call.method} {r.call.path}" for r in api if isinstance(r, CallRoute)}
    assert names == set(EXAMPLES) == set(BENCH["calls"])
    assert set(INTENT_EXAMPLES) == set(INTENTS) == set(BENCH["intents"])
    assert {type(event) for event in EVENTS} == set(get_args(AnyEvent))


@pytest.mark.parametrize("name", [n for n in EXAMPLES if n != "GET /api/events"])
def test_a_call_holds_to_its_schema(client: Client, folder: Path, name: str) -> None:
    """A request that fits is answered by an answer that fits."""
    if name == "POST /api/correct":
        assert client.post("/api/sync", json=EXAMPLES["POST /api/sync"]).status_code == 200
    asked = _asked(client, name)
    published = BENCH["calls"][name]
    asks = "query" if "query" in published else "body"
    assert _faults(asked, _at("calls", name, asks)) == []
    answer = _send(client, name, asked, folder)
    assert answer.status_code == published["status"], answer.text
    if "media" in published:
        assert answer.headers["content-type"] == published["media"]
        assert answer.content[:4] in (b"fLaC", b"%PDF")
        return
    assert answer.json()["contract"] == 1
    assert _faults(answer.json(), _at("calls", name, "answer")) == []
    client.post("/api/cancel", json={})


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_call_refuses_what_does_not_fit(client: Client, folder: Path, name: str) -> None:
    """A field that there is none of is named, in the shape of a refusal that is published."""
    if name in ("GET /api/events",):
        return
    answer = _send(client, name, {**_asked(client, name), "hat": "x"}, folder)
    assert answer.status_code == 422
    assert answer.json()["error"]["field"] == "hat"
    assert answer.json()["error"]["remedy"]
    assert _faults(answer.json(), _at("refusal")) == []
    assert _faults({**EXAMPLES[name], "hat": "x"}, _at("calls", name, "query" if "query" in
                   BENCH["calls"][name] else "body"))  # fmt: skip


@pytest.mark.parametrize("name", INTENT_EXAMPLES)
def test_an_intent_holds_to_its_schema(client: Client, name: str) -> None:
    """Arguments that fit are done; a further one is refused by name."""
    args = INTENT_EXAMPLES[name]
    assert _faults(args, _at("intents", name)) == []
    sha = client.get("/api/lesson?path=one.md").json()["sha256"]
    body = {"path": "one.md", "base_sha256": sha, "intent": name}
    refused = client.post("/api/intent", json={**body, "args": {**args, "hat": 1}})
    assert (refused.status_code, refused.json()["error"]["field"]) == (422, "hat")
    done = client.post("/api/intent", json={**body, "args": args})
    assert done.status_code == 200, done.text
    assert _faults(done.json(), _at("calls", "POST /api/intent", "answer")) == []


@pytest.mark.parametrize("event", EVENTS, ids=lambda event: type(event).__name__)
def test_an_event_holds_to_its_schema(event: AnyEvent) -> None:
    """What the stream tells is what is published."""
    line = json.loads(msgspec.json.encode(event))
    assert line["kind"]
    assert _faults(line, _at("event")) == []
    assert _faults({**line, "kind": "other"}, _at("event"))


def test_a_conflict_holds_to_the_schema_of_refusals(client: Client) -> None:
    """A change that came too late is answered with the lesson as it is."""
    body = {**EXAMPLES["POST /api/edit"], "base_sha256": "another"}
    answer = client.post("/api/edit", json=body)
    assert answer.status_code == 409
    assert answer.json()["lesson"]["text"] == LESSON
    assert _faults(answer.json(), _at("refusal")) == []


def test_the_fields_of_a_command_are_those_of_its_request() -> None:
    """The bench takes what the commands' request lines take."""
    from gripwright.cli import grips, name

    for command, of in ((name, "POST /api/name"), (grips, "POST /api/grips")):
        shape = BENCH["$defs"][BENCH["calls"][of]["body"]["$ref"].rsplit("/", 1)[1]]
        assert set(shape["properties"]) == set(command.FIELDS)
