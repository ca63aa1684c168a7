"""The guard at the door: who may ask, how much may come in, what a page may do.

Every request must name a known host; a request from another origin is refused; every call of
the API, reads too, carries the token of this run. Answers carry a content policy without
inline script. Sources: WHATWG Fetch (Origin), W3C Content Security Policy 3.
"""

from __future__ import annotations

import hmac
from collections.abc import Iterable

import msgspec
from starlette.types import ASGIApp, Message, Receive, Scope, Send

TOKEN_HEADER = b"x-bench-token"
MAX_BODY_BYTES = 1024 * 1024
MAX_TAKE_BYTES = 2 * 1024 * 1024 * 1024
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "font-src 'self'; media-src 'self' blob:; connect-src 'self'; worker-src 'self' blob:; "
    "frame-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
# A pack's page and previews run apart from the bench: no origin, so no token to steal.
SANDBOX_POLICY = "sandbox allow-scripts; frame-ancestors 'self'"


class _TooLarge(Exception):
    pass


class Guard:
    """ASGI middleware that refuses what should not come in."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str], token: str) -> None:
        self._app = app
        self._hosts = frozenset(host.encode() for host in hosts)
        self._origins = frozenset(b"http://" + host for host in self._hosts)
        self._token = token.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer why not."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal:
            await _refuse(send, *refusal)
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
        except _TooLarge:
            if not started:
                await _refuse(send, 413, "too-large", f"a request may hold {limit:,} bytes")

    def _refusal(self, scope: Scope) -> tuple[int, str, str] | None:
        headers = dict(scope["headers"])
        if headers.get(b"host", b"") not in self._hosts:
            return 421, "host", "this host name is not served here"
        origin = headers.get(b"origin")
        if origin is not None and origin not in self._origins:
            return 403, "origin", "another page may not call the bench"
        if scope["path"].startswith("/api/"):
            given = headers.get(TOKEN_HEADER, b"")
            if not hmac.compare_digest(given, self._token):
                return 401, "token", "open the address that the bench printed when it started"
        return None


def _headers(headers: Iterable[tuple[bytes, bytes]], path: str) -> list[tuple[bytes, bytes]]:
    policy = SANDBOX_POLICY if path.startswith("/view/") else POLICY
    return [
        *headers,
        (b"content-security-policy", policy.encode()),
        (b"x-content-type-options", b"nosniff"),
        (b"referrer-policy", b"no-referrer"),
        (b"cross-origin-opener-policy", b"same-origin"),
        (b"cross-origin-resource-policy", b"same-origin"),
        (b"cache-control", b"no-store"),
    ]


def _limited(receive: Receive, limit: int) -> Receive:
    """Wrap a receiver so that a body beyond the limit ends the request."""
    taken = 0

    async def inner() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > limit:
            raise _TooLarge
        return message

    return inner


async def _refuse(send: Send, status: int, code: str, remedy: str) -> None:
    error = {"code": code, "message": "refused", "field": None, "at": None, "remedy": remedy}
    body = msgspec.json.encode({"contract": 1, "error": error})
    headers = [(b"content-type", b"application/json")]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
