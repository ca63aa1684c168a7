"""The guard at the door: host, origin, token, size and the content policy."""

from __future__ import annotations

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from asgi import Client
from gripwright.bench import guard
from gripwright.bench.guard import Guard

HOST = "127.0.0.1:8000"
GOOD = {"host": HOST, "x-bench-token": "token"}


async def _echo(request: Request) -> Response:
    return PlainTextResponse(str(len(await request.body())))


@pytest.fixture
def client() -> Client:
    """Return a client of an application behind the guard."""
    routes = [Route(path, _echo, methods=["GET", "POST"]) for path in ("/", "/api/x", "/view/t/p")]
    app = Starlette(routes=routes, middleware=[Middleware(Guard, hosts=[HOST], token="token")])
    return Client(app)


def test_a_good_call_passes(client: Client) -> None:
    """The right host and token reach the application."""
    assert client.post("/api/x", headers=GOOD, content=b"four").text == "4"


def test_a_wrong_host_is_refused(client: Client) -> None:
    """A name that rebinds to the loopback address is not served, not even the page."""
    assert client.get("/", headers={"host": "evil.example:8000"}).status_code == 421


def test_another_origin_is_refused(client: Client) -> None:
    """A page elsewhere cannot call the bench even with the token."""
    headers = {**GOOD, "origin": "http://evil.example"}
    assert client.get("/api/x", headers=headers).status_code == 403
    assert client.get("/api/x", headers={**GOOD, "origin": "null"}).status_code == 403


@pytest.mark.parametrize("token", ["", "Token", "token2"])
def test_a_read_needs_the_token_too(client: Client, token: str) -> None:
    """Without this run's token the API answers nothing, reads included."""
    answer = client.get("/api/x", headers={**GOOD, "x-bench-token": token})
    assert answer.status_code == 401
    assert "address" in answer.json()["error"]["remedy"]


def test_a_body_beyond_the_limit_is_refused(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A large body ends the request, whatever its length header says."""
    monkeypatch.setattr(guard, "MAX_BODY_BYTES", 10)
    assert client.post("/api/x", headers=GOOD, content=b"x" * 11).status_code == 413


def test_every_answer_carries_a_strict_policy(client: Client) -> None:
    """No inline script, nothing from outside; a pack's page runs in a sandbox without origin."""
    page = client.get("/", headers=GOOD).headers["content-security-policy"]
    assert "default-src 'none'" in page
    assert "unsafe" not in page
    view = client.get("/view/t/p", headers=GOOD).headers["content-security-policy"]
    assert view.startswith("sandbox allow-scripts;")
    assert "allow-same-origin" not in view
