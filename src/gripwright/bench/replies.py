"""Answers and refusals of the bench's API, in the shape of the command contract."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from gripwright.bench.desk import Conflict
from gripwright.errors import GripwrightError, InputError

Handler = Callable[[Request], Awaitable[Response]]


def reply(answer: dict[str, Any], status: int = 200) -> Response:
    """Return one JSON object."""
    body = msgspec.json.encode({"contract": 1, **answer})
    return Response(body, status, media_type="application/json")


async def request_object(request: Request) -> dict[str, Any]:
    """Return the JSON object of a request; raises InputError."""
    try:
        given = msgspec.json.decode(await request.body())
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise InputError(f"the request is not JSON: {error}", field="body") from error
    if not isinstance(given, dict):
        raise InputError("the request is not a JSON object", field="body")
    return given


def text_field(given: dict[str, Any], name: str) -> str:
    """Return a field that must be text; raises InputError."""
    value = given.get(name)
    if not isinstance(value, str):
        raise InputError(f"{name!r} must be text", field=name, remedy=f"give {name} as text")
    return value


def whole_field(given: dict[str, Any], name: str) -> int:
    """Return a field that must be a whole number; raises InputError."""
    value = given.get(name)
    if not isinstance(value, int) or isinstance(value, bool):
        raise InputError(f"{name!r} must be a whole number", field=name)
    return value


def guarded(handler: Handler) -> Handler:
    """Turn our errors into refusals: 409 for a conflict, 422 for bad input, 500 for the rest."""

    async def inner(request: Request) -> Response:
        try:
            return await handler(request)
        except Conflict as error:
            return reply({"error": error.as_dict(), "lesson": error.lesson}, 409)
        except InputError as error:
            return reply({"error": error.as_dict()}, 422)
        except GripwrightError as error:
            return reply({"error": error.as_dict()}, 500)

    return inner


def asks(work: Callable[[dict[str, Any]], dict[str, Any]], *, quick: bool = False) -> Handler:
    """Return a handler that answers a JSON request by one function, off the event loop.

    What is ``quick``, under a millisecond, is answered on it: a thread would cost more.
    """

    @guarded
    async def handler(request: Request) -> Response:
        given = await request_object(request)
        return reply(work(given) if quick else await run_in_threadpool(work, given))

    return handler
