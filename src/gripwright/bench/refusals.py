"""A failure as the window gets it: the contract's error object, no path beyond the folder."""

from __future__ import annotations

import re
from typing import Any

import msgspec
from starlette.responses import Response

from gripwright.bench.wire.answers import Refusal, Trouble
from gripwright.bench.wire.lesson import LessonView
from gripwright.cli.unforeseen import foreseen
from gripwright.errors import (
    BuildError,
    GripwrightError,
    InputError,
    MachineError,
    StoppedError,
)

_FOLDERS = re.compile(r"(?<![\w./])/(?:[^\s/'\"`]+/)+")


class Conflict(InputError):
    """Report a change made on a text that is no longer what the file holds."""

    code = "conflict"

    def __init__(self, path: str, lesson: LessonView) -> None:
        super().__init__(
            f"{path} was changed elsewhere", field="base_sha256",
            remedy="look at it as it is now, then make the change again or leave it",
        )  # fmt: skip
        self.lesson = lesson


class TooLarge(InputError):
    """Report a request that holds more than may come in."""

    code = "too-large"

    def __init__(self, limit: int) -> None:
        super().__init__(
            f"a request may hold {limit:,} bytes", field="body", remedy="send less at once"
        )


class Late(InputError):
    """Report a request whose body did not come."""

    code = "late"

    def __init__(self, seconds: float) -> None:
        super().__init__(f"nothing came for {seconds:g} s", field="body", remedy="send it again")


_STATUSES: tuple[tuple[type[GripwrightError], int], ...] = (
    (Conflict, 409), (TooLarge, 413), (Late, 408), (InputError, 422), (BuildError, 422),
    (StoppedError, 409), (MachineError, 507),
)  # fmt: skip


def refusal(failure: Exception) -> Response:
    """Return the answer to a request that failed.

    409 with the lesson for a conflict, and for what was cancelled, 413 and 408 for a body too
    large or too slow, 422 for what cannot be used or built, 507 where the machine refuses, 500 for
    a fault of our own.
    """
    error = foreseen(failure)
    status = next((status for kind, status in _STATUSES if isinstance(error, kind)), 500)
    told = Refusal(error=trouble(error))
    if isinstance(error, Conflict):
        told = msgspec.structs.replace(told, lesson=error.lesson)
    return Response(msgspec.json.encode(told), status, media_type="application/json")


def trouble(error: GripwrightError) -> Trouble:
    """Return an error as it is told to a window."""
    told: dict[str, Any] = error.as_dict()
    return Trouble(
        code=told["code"],
        message=without_folders(told["message"]),
        field=told["field"],
        at=without_folders(told["at"]) if isinstance(told["at"], str) else told["at"],
        remedy=told["remedy"] and without_folders(told["remedy"]),
        problems=told.get("problems", msgspec.UNSET),
    )


def without_folders(text: str) -> str:
    """Return a text whose absolute paths have only their last name left.

    >>> without_folders("/var/tmp/x9/take one.wav is silent; write C/E in 6/8")
    'take one.wav is silent; write C/E in 6/8'
    """
    return _FOLDERS.sub("", text)
