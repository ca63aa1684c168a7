"""What every command prints: the JSON envelope, errors, and batches of JSON lines.

The contract: one JSON object on stdout with ``"contract": 1``; diagnostics on stderr; exit
code 0 done, 1 findings, 2 wrong use or bad input.
"""

from __future__ import annotations

import functools
import sys
from collections import Counter
from collections.abc import Callable, Iterable
from typing import Any

import click
import msgspec

from gripwright.cli.unforeseen import foreseen
from gripwright.errors import GripwrightError, InputError, cut, without_long_input

CONTRACT = 1


def emit(answer: dict[str, Any]) -> None:
    """Print one answer as a JSON object on a line of its own, flushed."""
    sys.stdout.buffer.write(msgspec.json.encode({"contract": CONTRACT, **answer}) + b"\n")
    sys.stdout.buffer.flush()


def error_answer(error: GripwrightError | click.ClickException) -> dict[str, Any]:
    """Return the answer object of an error."""
    if isinstance(error, GripwrightError):
        return {"error": error.as_dict()}
    remedy = "run the command with --help"
    message = without_long_input(error.format_message())
    field = getattr(getattr(error, "param", None), "name", None)
    return {
        "error": {
            "code": "usage", "message": message, "field": field, "at": None,
            "remedy": remedy,
        }
    }  # fmt: skip


def fail(error: GripwrightError | click.ClickException, *, as_json: bool) -> int:
    """Report an error on stdout (JSON) or stderr (words); return exit code 2."""
    answer = error_answer(error)
    if as_json:
        emit(answer)
    else:
        told = answer["error"]
        click.echo(f"gripwright: {told['message']}", err=True)
        if told["remedy"]:
            click.echo(f"  {told['remedy']}", err=True)
    return 2


def reports_errors(function: Callable[..., int]) -> Callable[..., None]:
    """Wrap a command body that returns its exit code and has an ``as_json`` option."""

    @functools.wraps(function)
    def wrapper(*args: Any, **kwargs: Any) -> None:
        try:
            code = function(*args, **kwargs)
        except GripwrightError as error:
            code = fail(error, as_json=bool(kwargs.get("as_json")))
        raise click.exceptions.Exit(code)

    return wrapper


def batch(lines: Iterable[bytes], answer: Callable[[dict[str, Any]], dict[str, Any]]) -> int:
    """Answer JSON-line requests in order; return 1 if any line was bad, else 0.

    Each answer echoes the request's ``id``; a bad line gets its error object and the rest
    go on, also where the fault is our own.
    """
    code = 0
    for line in lines:
        if not line.strip():
            continue
        echo: dict[str, Any] = {}
        try:
            request = _request(line)
            echo = {"id": request.pop("id")} if "id" in request else {}
            emit({**echo, **answer(_fields(request))})
        except Exception as error:  # noqa: BLE001 - one bad line must not silence the rest
            code = 1
            emit({**echo, **error_answer(foreseen(error))})
    return code


def _fields(request: dict[str, Any]) -> dict[str, Any]:
    """Return a request's fields with ``_`` for the hyphens of option names."""
    names = Counter(name.replace("-", "_") for name in request)
    for name, count in names.items():
        if count > 1:
            raise InputError(
                f"the field {cut(name)!r} is given with a hyphen and without", field=name,
                remedy="give it once",
            )  # fmt: skip
    return {name.replace("-", "_"): value for name, value in request.items()}


def _request(line: bytes) -> dict[str, Any]:
    remedy = 'write one JSON object a line, such as {"grip": "x35453"}'
    try:
        request = msgspec.json.decode(line)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(f"this line is not JSON: {error}", field="line", remedy=remedy) from error
    if not isinstance(request, dict):
        raise InputError("this line is not a JSON object", field="line", remedy=remedy)
    return request
