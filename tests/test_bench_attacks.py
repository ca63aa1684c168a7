"""The bench as an attacker meets it: every door tried, on every route."""

from __future__ import annotations

import asyncio
import json
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
import uvicorn
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.applications import Starlette
from starlette.routing import Mount, Route

from asgi import Client
from gripwright.bench import guard, patience
from gripwright.bench.app import make_app
from gripwright.bench.calls import Call, CallRoute
from gripwright.bench.patience import PatientProtocol
from gripwright.bench.serve import open_socket

HOST = "127.0.0.1:8000"
TOKEN = {"x-bench-token": "t"}
LESSON = "---\ntitle: One\n---\n\n```part Verse\n| x32010=C |\n```\n"


@pytest.fixture(autouse=True)
def _shelf_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the tests away from the user's shelf."""
    monkeypatch.setenv("GRIPWRIGHT_SHELF", str(tmp_path / "shelf.sqlite"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a lesson, a secret beside it and links that lead there."""
    base = tmp_path_factory.mktemp("attack")
    folder = base / "opened"
    (folder / "songs").mkdir(parents=True)
    (folder / "one.md").write_text(LESSON, encoding="utf-8")
    (base / "secret.md").write_text(LESSON.replace("One", "SECRET"), encoding="utf-8")
    (folder / "leak.md").symlink_to(base / "secret.md")
    (folder / "out").symlink_to(base)
    (folder / ".hidden.md").write_text(LESSON.replace("One", "SECRET"), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def app(folder: Path) -> Starlette:
    """Return the application of a bench that has built a pack."""
    app = make_app(folder, "t", (HOST,))
    pack = folder / "one-pack"
    pack.mkdir()
    for name in ("practice.html", "handout.pdf", "drawing.svg"):
        (pack / name).write_text("<p>product</p>", encoding="utf-8")
    app.state.packs.tickets |= {
        f"t-{name}": f"one-pack/{name}" for name in ("practice.html", "handout.pdf", "drawing.svg")
    }
    return app


@pytest.fixture
def client(app: Starlette) -> Client:
    """Return a client without a token."""
    return Client(app, HOST)


def _doors(app: Starlette) -> list[tuple[str, str]]:
    """Return method and path of something behind every route."""
    doors = []
    for route in app.routes:
        if isinstance(route, Mount):
            inside = {"/web": "/web/main.js", "/fonts": "/fonts/"}
            doors.append(("GET", inside[route.path]))
        elif isinstance(route, Route):
            path = route.path.replace("{ticket}/{name}", "t-handout.pdf/handout.pdf")
            doors += [(method, path) for method in sorted(route.methods or ()) if method != "HEAD"]
    assert len(doors) > 25
    return doors


def test_no_route_answers_a_foreign_host_or_origin(app: Starlette, client: Client) -> None:
    """A name that was rebound to this machine, and a page from elsewhere, get nothing at all."""
    for method, path in _doors(app):
        for host in ("evil.example:8000", "127.0.0.1", "127.0.0.1:8001", "localhost.evil:8000", ""):
            answer = client.request(method, path, headers={**TOKEN, "host": host})
            assert answer.status_code == 421, (method, path, host)
        for origin in ("http://evil.example", "null", "https://127.0.0.1:8000", f"http://{HOST}.x"):
            answer = client.request(method, path, headers={**TOKEN, "origin": origin})
            assert answer.status_code == 403, (method, path, origin)


def test_every_call_wants_the_token(app: Starlette, client: Client) -> None:
    """Reads, writes, the stream and uploads answer nobody without this run's token."""
    calls = [(method, path) for method, path in _doors(app) if path.startswith("/api")]
    assert len(calls) >= 24
    for method, path in calls:
        for token in ({}, {"x-bench-token": ""}, {"x-bench-token": "T"}, {"x-bench-token": "tt"}):
            answer = client.request(method, path, headers=token)
            assert answer.status_code == 401, (method, path, token)
        assert client.request(method, f"{path}?token=t").status_code == 401


@pytest.mark.parametrize(
    "path", ["/api%2ffolder", "//api/folder", "/API/folder", "/web/..%2fapi/folder",
             "/api/%2e/folder", "/web/%2e%2e/api/folder", "/api/folder/", "/./api/folder",
             "/api\\folder"],
)  # fmt: skip
def test_no_spelling_of_a_call_goes_round_the_token(client: Client, path: str) -> None:
    """However the path is written, without the token there is no answer with contents."""
    answer = client.get(path)
    assert answer.status_code in (307, 401, 404)
    assert "lessons" not in answer.text


def test_two_hosts_or_two_tokens_are_refused(app: Starlette) -> None:
    """A request that says two things gets neither."""
    right, token = (b"host", HOST.encode()), (b"x-bench-token", b"t")
    for headers, status in (
        ([right, (b"host", b"evil.example"), token], 421),
        ([right, token, (b"x-bench-token", b"x")], 401),
        ([right, token], 200),
    ):
        assert asyncio.run(_raw(app, "/api/folder", headers))["status"] == status


async def _raw(app: Starlette, path: str, headers: list[tuple[bytes, bytes]]) -> dict[str, Any]:
    """Return the start of an answer to a request whose headers are taken as they are."""
    scope = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET",
             "scheme": "http", "path": path, "raw_path": path.encode(), "query_string": b"",
             "root_path": "", "headers": headers, "client": None, "server": None}  # fmt: skip
    sent: list[Any] = []

    async def receive() -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        sent.append(message)

    await app(scope, receive, send)
    start: dict[str, Any] = sent[0]
    return start


BAD_PATHS = (
    "../secret.md", "../../secret.md", "songs/../../secret.md", "out/secret.md", "leak.md",
    "/etc/passwd", ".hidden.md", "./one.md/../../secret.md", "one.md\0", "songs\\..\\..\\secret.md",
    "a" * 300, "a/" * 50 + "b", "．．/secret.md", "‥/secret.md", "..%2fsecret.md", "one.md/",
    "OUT/secret.md", "", ".", "..", "songs", "\ud7ff", "file:///etc/passwd", "one.md:stream",
)  # fmt: skip


PATHS = ("path", "lesson", "take", "cut", "captions", "background")


def _fields(call: Call) -> list[str]:
    return [name for name in call.asks.__struct_fields__ if name in PATHS]


def _calls_with_a_path(app: Starlette) -> list[Call]:
    calls = [route.call for route in app.routes if isinstance(route, CallRoute)]
    found = [call for call in calls if _fields(call)]
    assert len(found) >= 15
    return found


FILLED = {
    "path": "one.md", "lesson": "one.md", "base_sha256": "0", "start": 0, "end": 0, "text": "",
    "intent": "delete_bar", "args": {"part": 0, "bar": 0}, "from_s": 0, "to_s": 1, "number": 0,
    "start_s": 0, "id": "x",
}  # fmt: skip


@pytest.mark.parametrize("path", BAD_PATHS)
def test_no_call_leads_out_of_the_folder(
    app: Starlette, client: Client, folder: Path, path: str
) -> None:
    """Whatever stands for a path is refused, and no refusal tells where the folder lies."""
    for call, field in ((c, f) for c in _calls_with_a_path(app) for f in _fields(c)):
        if path == "" and field in PATHS[2:]:
            continue  # nothing asked for
        asked = {n: FILLED[n] for n in call.asks.__struct_fields__ if n in FILLED}
        asked |= {"take": "one.md"} if field == "cut" else {}
        asked |= {field: path}
        if call.method == "GET":
            answer = client.get(call.path, params={"path": path}, headers=TOKEN)
        else:
            answer = client.post(call.path, json=asked, headers=TOKEN)
        if path == "one.md/" and answer.status_code in (200, 409):
            continue  # the lesson itself, written with a stroke behind it
        assert answer.status_code == 422, (call.path, field, answer.text)
        assert "SECRET" not in answer.text
        assert str(folder.parent) not in answer.text
        assert answer.json()["error"]["remedy"]


def test_an_upload_cannot_choose_its_place(client: Client, folder: Path, tmp_path: Path) -> None:
    """The name of a recording becomes a plain name; what is no recording leaves nothing behind."""
    before = sorted(path.name for path in folder.iterdir())
    for name in ("../../evil.wav", "/tmp/evil.wav", "..\\evil.wav", ".evil.wav", "x" * 500 + ".wav",
                 "evil.md", "evil", "a\0b.wav", "<b>.wav", "．．.wav"):  # fmt: skip
        answer = client.post("/api/take", params={"name": name}, content=b"no sound", headers=TOKEN)
        assert answer.status_code == 422, name
        assert str(folder) not in answer.text
    assert sorted(path.name for path in folder.iterdir()) == before


@pytest.mark.parametrize(
    "path", ["/web/../app.py", "/web/%2e%2e/app.py", "/web/..%2fapp.py", "/web/..%5capp.py",
             "/fonts/%2e%2e/%2e%2e/errors.py", "/web/%00", "/web/", "/web/vendor",
             "/web//etc/passwd", "/view/t-handout.pdf/..%2fone.md", "/view/none/handout.pdf",
             "/view/t-handout.pdf/practice.html", "/view/t-handout.pdf/"],
)  # fmt: skip
def test_static_files_and_products_end_at_their_folder(client: Client, path: str) -> None:
    """Only what belongs to the page, and a product under its own ticket and name, is served."""
    answer = client.get(path)
    assert answer.status_code in (400, 404, 405), path
    assert "import" not in answer.text


def test_a_product_swapped_for_a_link_is_not_served(client: Client, folder: Path) -> None:
    """A ticket holds for the file that was built, not for where a link in its place leads."""
    product = folder / "one-pack" / "handout.pdf"
    assert client.get("/view/t-handout.pdf/handout.pdf").status_code == 200
    kept = product.read_bytes()
    product.unlink()
    product.symlink_to(folder.parent / "secret.md")
    assert client.get("/view/t-handout.pdf/handout.pdf").status_code == 404
    product.unlink()
    product.write_bytes(kept)


def test_a_product_is_sent_in_parts_too(client: Client) -> None:
    """A player that jumps asks for a range (RFC 9110, section 14)."""
    answer = client.get("/view/t-handout.pdf/handout.pdf", headers={"range": "bytes=3-9"})
    assert (answer.status_code, answer.text) == (206, "product")


def test_a_pack_is_not_built_through_a_link(client: Client, folder: Path) -> None:
    """Where the pack would stand there is a link: it is refused and nothing is written there."""
    target = folder.parent / "target"
    target.mkdir()
    (folder / "songs" / "two.md").write_text(LESSON, encoding="utf-8")
    (folder / "songs" / "two-pack").symlink_to(target)
    answer = client.post("/api/build", json={"path": "songs/two.md"}, headers=TOKEN)
    assert answer.status_code == 422
    assert "link" in answer.json()["error"]["message"]
    assert list(target.iterdir()) == []


def test_what_runs_is_shut_in(client: Client) -> None:
    """No policy lets script in from a line or from outside; a pack's page has no way out."""
    page = client.get("/").headers["content-security-policy"]
    assert "unsafe" not in page
    for name in ("practice.html", "drawing.svg"):
        view = client.get(f"/view/t-{name}/{name}").headers
        policy = dict(rule.split(" ", 1) for rule in view["content-security-policy"].split("; "))
        assert policy["sandbox"] == "allow-scripts"
        assert policy["default-src"] == "'none'"
        assert not any("http" in value or "*" in value for value in policy.values())
        assert view["x-content-type-options"] == "nosniff"
    for path in ("/", "/api/folder", "/nothing", "/web/main.js"):
        headers = client.get(path).headers
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] == "no-store"
        assert "server" not in headers


BODIES = (
    b"", b"null", b"[]", b'"x"', b"{", b'{"path": 1}', b'{"path": {"a": []}}', b"\xff\xfe",
    b"[" * 200_000, b'{"a":' * 100_000, b'{"path": "one.md", "path": 3}', b"1e999", b"NaN",
    b'{"number": 1e400}', b'{"start": 99999999999999999999999999}', b'{"path": "\\ud800"}',
)  # fmt: skip


@pytest.mark.parametrize("body", BODIES, ids=lambda body: repr(body[:16]))
def test_no_body_breaks_a_call(app: Starlette, client: Client, body: bytes) -> None:
    """What is no request is refused in the shape of the contract, never with a crash."""
    for route in app.routes:
        if isinstance(route, CallRoute) and route.call.method == "POST" and not route.call.file:
            answer = client.post(route.call.path, content=body, headers=TOKEN)
            assert answer.status_code == 422, (route.call.path, answer.text)
            assert answer.json()["error"]["remedy"]


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_no_field_of_any_kind_breaks_a_call(app: Starlette, client: Client, data: Any) -> None:
    """Each field of each call, filled with anything, ends in an answer or a refusal."""
    calls = [r.call for r in app.routes if isinstance(r, CallRoute) and r.call.method == "POST"]
    call = data.draw(st.sampled_from([c for c in calls if not c.file and c.path != "/api/build"]))
    asked = {n: FILLED[n] for n in call.asks.__struct_fields__ if n in FILLED}
    name = data.draw(st.sampled_from([*call.asks.__struct_fields__, "intent"]))
    asked[name] = data.draw(VALUES)
    answer = client.post(call.path, content=json.dumps(asked), headers=TOKEN)
    assert answer.status_code in (200, 201, 409, 422), (call.path, asked, answer.text)


def test_a_body_that_stalls_ends(app: Starlette, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who sends the head of a request and then nothing is told so, and let go."""
    monkeypatch.setattr(guard, "BODY_WAIT_S", 0.05)

    async def stalled() -> int:
        async def nothing() -> Any:
            await asyncio.Event().wait()

        sent: list[Any] = []

        async def send(message: Any) -> None:
            sent.append(message)

        headers = [(b"host", HOST.encode()), (b"x-bench-token", b"t")]
        scope = {"type": "http", "method": "POST", "path": "/api/name", "headers": headers,
                 "query_string": b"", "root_path": "", "http_version": "1.1", "scheme": "http",
                 "raw_path": b"/api/name", "asgi": {"version": "3.0"}}  # fmt: skip
        await app(scope, nothing, send)
        return int(sent[0]["status"])

    assert asyncio.run(stalled()) == 408


@pytest.fixture
def port(app: Starlette) -> Iterator[int]:
    """Return the port of a server that runs the application as the bench does."""
    listening = open_socket(0)
    config = uvicorn.Config(app, http=PatientProtocol, lifespan="off", log_level="critical")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    yield listening.getsockname()[1]
    server.should_exit = True
    thread.join()


def test_a_head_that_never_ends_is_cut_off(port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A connection that says nothing, or drips its head, is closed; others are served meanwhile."""
    monkeypatch.setattr(patience, "HEAD_WAIT_S", 0.3)
    with (
        socket.create_connection(("127.0.0.1", port)) as silent,
        socket.create_connection(("127.0.0.1", port)) as dripping,
    ):
        dripping.sendall(b"GET / HTTP/1.1\r\nHost: x\r\n")
        assert httpx.get(f"http://127.0.0.1:{port}/").status_code == 421
        for one in (silent, dripping):
            one.settimeout(30)
            assert one.recv(100) == b""


def test_one_address_has_no_second_listener(tmp_path: Path) -> None:
    """The bench is not reachable by the addresses of this machine in a network."""
    command = [sys.executable, "-m", "gripwright", "bench", str(tmp_path), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    port = int(process.stdout.readline().split("127.0.0.1:")[1].split("/")[0])
    listening = [
        line.split()[1]
        for name in ("tcp", "tcp6")
        for line in Path(f"/proc/net/{name}").read_text("ascii").splitlines()[1:]
        if line.split()[3] == "0A" and line.split()[1].endswith(f":{port:04X}")
    ]
    process.kill()
    process.wait()
    process.stdout.close()
    assert listening == [f"0100007F:{port:04X}"]
