"""The guard at the door: who may ask, how much may come in, what a page may do.

Every request must name a known host; a request from another origin is refused; every call of
the API, reads too, carries the token of this run. Answers carry a content policy without
inline script. Sources: WHATWG Fetch (Origin), W3C Content Security Policy 3.
"""

from __future__ import annotations

import asyncio
import hmac
from collections.abc import Iterable
from pathlib import PurePosixPath

import msgspec
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from gripwright.bench.refusals import Late, TooLarge, refusal
from gripwright.bench.wire.answers import Refusal, Trouble

TOKEN_HEADER = b"x-bench-token"
MAX_BODY_BYTES = 1024 * 1024
MAX_TAKE_BYTES = 2 * 1024 * 1024 * 1024
BODY_WAIT_S = 20.0
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "font-src 'self'; media-src 'self' blob:; connect-src 'self'; worker-src 'self' blob:; "
    "frame-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
# A pack's page runs apart from the bench: no origin, so no token to steal, and no way out.
SANDBOX_POLICY = (
    "sandbox allow-scripts; default-src 'none'; script-src 'unsafe-inline' blob: data:; "
    "style-src 'unsafe-inline'; img-src data: blob:; media-src data: blob:; font-src data:; "
    "connect-src data: blob:; worker-src blob: data:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'self'"
)
# Documents, sound and pictures run nothing; a sandbox would only keep the reader from showing them.
SHOWN_POLICY = "frame-ancestors 'self'; base-uri 'none'; form-action 'none'"
_RUNS_NOTHING = frozenset({
    ".pdf", ".png", ".jpg", ".mp4", ".webm", ".mov", ".wav", ".flac", ".mp3", ".ogg", ".mid",
    ".txt", ".json", ".zip",
})  # fmt: skip


class Guard:
    """ASGI middleware that refuses what should not come in."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str], token: str) -> None:
        self._app = app
        self._hosts = frozenset(host.encode() for host in hosts)
        self._origins = frozenset(b"http://" + host for host in self._hosts)
        self._token = token.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer why not."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":  # nothing here speaks through a web socket
            await send({"type": "websocket.close", "code": 1008})
            return
        refused = self._refused(scope)
        if refused:
            await _refuse(send, *refused)
            return
        limit = MAX_TAKE_BYTES if scope["path"] == "/api/take" else MAX_BODY_BYTES
        started = False

        async def send_with_headers(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                message = {**message, "headers": _headers(message["headers"], scope["path"])}
            await send(message)

        try:
            await self._app(scope, _limited(receive, limit), send_with_headers)
        except (TooLarge, Late) as error:
            if not started:
                await refusal(error)(scope, receive, send_with_headers)

    def _refused(self, scope: Scope) -> tuple[int, str, str] | None:
        headers = scope["headers"]
        hosts = [value for name, value in headers if name == b"host"]
        if len(hosts) != 1 or hosts[0] not in self._hosts:
            return 421, "host", "this host name is not served here"
        if any(name == b"origin" and value not in self._origins for name, value in headers):
            return 403, "origin", "another page may not call the bench"
        if scope["path"].startswith("/api/"):
            tokens = [value for name, value in headers if name == TOKEN_HEADER]
            if len(tokens) != 1 or not hmac.compare_digest(tokens[0], self._token):
                return 401, "token", "open the address that the bench printed when it started"
        return None


def _headers(headers: Iterable[tuple[bytes, bytes]], path: str) -> list[tuple[bytes, bytes]]:
    return [
        *headers,
        (b"content-security-policy", _policy(path).encode()),
        (b"x-content-type-options", b"nosniff"),
        (b"referrer-policy", b"no-referrer"),
        (b"cross-origin-opener-policy", b"same-origin"),
        (b"cross-origin-resource-policy", b"same-origin"),
        (b"cache-control", b"no-store"),
    ]


def _policy(path: str) -> str:
    """Return the content policy of an answer; what may run, runs in the strictest."""
    if not path.startswith("/view/"):
        return POLICY
    still = PurePosixPath(path).suffix.lower() in _RUNS_NOTHING
    return SHOWN_POLICY if still else SANDBOX_POLICY


def _limited(receive: Receive, limit: int) -> Receive:
    """Wrap a receiver so that a body beyond the limit, or one that stalls, ends the request."""
    taken = 0
    whole = False

    async def inner() -> Message:
        nonlocal taken, whole
        if whole:  # what comes now is that the window has gone
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), BODY_WAIT_S)
        except TimeoutError as error:
            raise Late(BODY_WAIT_S) from error
        taken += len(message.get("body", b""))
        whole = not message.get("more_body", False)
        if taken > limit:
            raise TooLarge(limit)
        return message

    return inner


async def _refuse(send: Send, status: int, code: str, remedy: str) -> None:
    told = Refusal(error=Trouble(code, "refused", None, None, remedy))
    headers = _headers([(b"content-type", b"application/json")], "")
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": msgspec.json.encode(told)})
