"""The API as published: every call, intent and event with its JSON Schema.

Calls are found by walking the application's routes, so none can be left out.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec

from gripwright.bench.app import make_app
from gripwright.bench.calls import Call, CallRoute
from gripwright.bench.intents import INTENTS
from gripwright.bench.wire.answers import Refusal
from gripwright.bench.wire.events import AnyEvent, Event

Schema = dict[str, Any]


def calls() -> list[Call]:
    """Return every call of the API in the order of its routes."""
    app = make_app(Path(), "", ())
    return [route.call for route in app.routes if isinstance(route, CallRoute)]


def api_schema() -> Schema:
    """Return the document of `docs/schemas/bench.json`.

    ``calls`` has, by method and path, ``query`` or ``body``, the ``status`` of a good answer and
    ``answer``, or the ``media`` type of an answer that is bytes or lines.
    """
    known = calls()
    kinds: list[Any] = [Refusal, AnyEvent, *(kind for kind, _ in INTENTS.values())]
    for call in known:
        kinds.append(call.asks)
        if not isinstance(call.answers, str) and call.answers is not Event:
            kinds.append(call.answers)
    schemas, shared = msgspec.json.schema_components(kinds, ref_template="#/$defs/{name}")
    by_kind = dict(zip(kinds, schemas, strict=True))
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The bench's API",
        "description": (
            "Each value under calls, intents, event and refusal is a schema; a call's answer that "
            "is like a command's has that command's schema beside."
        ),
        "calls": {f"{call.method} {call.path}": _call(call, by_kind) for call in known},
        "intents": {name: by_kind[kind] for name, (kind, _) in INTENTS.items()},
        "event": by_kind[AnyEvent],
        "refusal": by_kind[Refusal],
        "$defs": shared,
    }


def _call(call: Call, by_kind: dict[Any, Schema]) -> Schema:
    asks = "query" if call.method == "GET" or call.file else "body"
    told: Schema = {asks: by_kind[call.asks], "status": call.status}
    if isinstance(call.answers, str):
        return told | {"media": call.answers}
    if call.answers is Event:
        return told | {"media": "application/x-ndjson", "line": {"$ref": "#/event"}}
    answer = by_kind[call.answers]
    if call.like:
        answer = {"allOf": [{"$ref": f"{call.like}.json"}, answer]}
    return told | {"answer": answer}
