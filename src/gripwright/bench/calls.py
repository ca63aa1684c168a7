"""One call of the API: what it asks, what it answers, and the one way from one to the other.

A call cannot be made without its types, so the published schema (`docs/schemas/bench.json`) and
its test find every call by walking the application's routes.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request as WebRequest
from starlette.responses import Response
from starlette.routing import Route

from gripwright.bench.refusals import refusal
from gripwright.bench.wire.lesson import Answer
from gripwright.bench.wire.requests import Request
from gripwright.errors import InputError

Asked = TypeVar("Asked", bound=Request)
Told = TypeVar("Told")
Handler = Callable[[WebRequest], Awaitable[Response]]
_FIELD = re.compile(r"(?:`\$\.?|unknown field `|required field `)([^`]*)`")


@dataclass(frozen=True, slots=True)
class Call:
    """A call as published.

    ``answers`` is a type, or the media type of bytes; ``like`` names the command whose answer it
    is, ``answers`` then being what stands beside. ``file`` is a call whose body is a file, and
    what it asks stands in the query.
    """

    method: Literal["GET", "POST"]
    path: str
    asks: type[Request]
    answers: type[msgspec.Struct] | str
    like: str | None = None
    file: bool = False
    status: int = 200


class CallRoute(Route):
    """A route that knows its call."""

    def __init__(self, call: Call, handler: Handler) -> None:
        super().__init__(call.path, _guarded(handler), methods=[call.method])
        self.call = call


def ask(
    path: str, asks: type[Asked], answers: type[Answer], work: Callable[[Asked], Answer],
    *, method: Literal["GET", "POST"] = "POST", status: int = 200,
    left: Callable[[Asked], None] | None = None,
) -> CallRoute:  # fmt: skip
    """Return the route of a call that is answered by one function, off the event loop.

    ``left`` is told what was asked where the window goes away before the answer.
    """

    async def handler(request: WebRequest) -> Response:
        given = await read(request, asks)
        return reply(await _answered(request, work, given, left), status)

    return CallRoute(Call(method, path, asks, answers, status=status), handler)


def look(path: str, asks: type[Asked], media: str, work: Callable[[Asked], bytes]) -> CallRoute:
    """Return the route of a call that is answered by bytes of a media type."""

    async def handler(request: WebRequest) -> Response:
        data = await run_in_threadpool(work, await read(request, asks))
        return Response(data, media_type=media)

    return CallRoute(Call("GET", path, asks, media), handler)


def as_command(
    name: str, asks: type[Asked], beside: type[msgspec.Struct],
    work: Callable[[Asked], dict[str, Any] | bytes], *,
    like: str | None = None, quick: bool = False, left: Callable[[Asked], None] | None = None,
) -> CallRoute:  # fmt: skip
    """Return the route of a call that answers as a command does, with more beside.

    What is ``quick``, a few milliseconds at the most, is answered on the loop: a thread would
    wait for the same lock of the interpreter, and cost more. ``left`` is as in `ask`.
    """

    async def handler(request: WebRequest) -> Response:
        given = await read(request, asks)
        return reply(work(given) if quick else await _answered(request, work, given, left))

    return CallRoute(Call("POST", f"/api/{name}", asks, beside, like=like or name), handler)


async def _answered(
    request: WebRequest, work: Callable[[Asked], Told], given: Asked,
    left: Callable[[Asked], None] | None,
) -> Told:  # fmt: skip
    """Return what a function answers off the loop, and tell where nobody waits for it any more."""
    if left is None:
        return await run_in_threadpool(work, given)

    async def gone() -> None:
        while (await request.receive())["type"] != "http.disconnect":
            pass
        left(given)

    waiting = asyncio.create_task(gone())
    try:
        return await run_in_threadpool(work, given)
    finally:
        waiting.cancel()


def by_hand(call: Call, handler: Handler) -> CallRoute:
    """Return the route of a call that streams in or out."""
    return CallRoute(call, handler)


def reply(answer: Answer | dict[str, Any] | bytes, status: int = 200) -> Response:
    """Return one JSON object that carries the number of the contract; bytes are one already."""
    told = {"contract": 1, **answer} if isinstance(answer, dict) else answer
    body = told if isinstance(told, bytes) else msgspec.json.encode(told)
    return Response(body, status, media_type="application/json")


async def read(request: WebRequest, asks: type[Asked]) -> Asked:
    """Return what a request asks, from its body or, of a GET, its query; raises InputError."""
    if request.method == "GET":
        return converted(dict(request.query_params), asks, strict=False)
    body = await request.body()
    try:
        return msgspec.json.decode(body, type=asks)
    except msgspec.ValidationError as error:
        raise _misfit(error) from error
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(
            f"the request is not JSON: {error}", field="body", remedy="send one JSON object"
        ) from error


def converted(given: Any, asks: type[Asked], *, strict: bool = True) -> Asked:
    """Return plain values as a type; raises InputError that names the field."""
    try:
        return msgspec.convert(given, asks, strict=strict)
    except msgspec.ValidationError as error:
        raise _misfit(error) from error


def given_fields(asked: Request) -> dict[str, Any]:
    """Return the fields that a request has given, by name."""
    return {
        name: value for name, value in msgspec.structs.asdict(asked).items() if value is not None
    }


def _misfit(error: msgspec.ValidationError) -> InputError:
    found = _FIELD.search(str(error))
    field = (found[1] if found else "") or "body"
    return InputError(
        f"the request does not fit: {error}", field=field,
        remedy="see docs/bench.md for what this call takes",
    )  # fmt: skip


def _guarded(handler: Handler) -> Handler:
    """Turn every failure into a refusal of the contract."""

    async def inner(request: WebRequest) -> Response:
        try:
            return await handler(request)
        except Exception as error:  # noqa: BLE001 - whatever failed, the window gets one shape
            return refusal(error)

    return inner
