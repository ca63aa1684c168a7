"""The errors that Gripwright raises.

    GripwrightError
    ├── InputError          what the user gave cannot be used (exit code 2)
    │   ├── NoteError       a note, degree or key that does not parse
    │   ├── SymbolError     a chord symbol that does not parse
    │   ├── TuningError     a tuning or capo that does not parse
    │   ├── GripError       a grip that does not parse or does not fit the neck
    │   ├── LessonError     a lesson file with problems (all of them at once)
    │   ├── ChangesError    several chords that cannot be read (all of them at once)
    │   ├── MediaError      a recording that cannot be read
    │   └── SearchError     constraints that nothing can meet
    ├── BuildError          a pack that could not be built or written
    ├── StoppedError        the user stopped the command (exit code 130)
    ├── MachineError        the machine refused: no room, no memory, no right (exit code 2)
    └── InternalError       a fault of Gripwright itself (exit code 2)

Every error carries data: a stable ``code``, the ``field`` at fault, the place ``at`` and the
``remedy``; the command line and the bench only present them. Long input is never echoed whole.
"""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import Any

ECHOED = 60  # characters of the user's input that a message repeats
TOLD = 20  # problems that a message lists
_QUOTED = re.compile(rf"(?<!\w)(['\"])((?:(?!\1)[^\n]){{{ECHOED + 1},}})\1(?!\w)")
_UNBROKEN = re.compile(rf"[^\s/\\]{{{2 * ECHOED},}}")


def cut(text: str, limit: int = ECHOED) -> str:
    """Return a text of at most ``limit`` characters, its end replaced by an ellipsis.

    >>> cut("x35453"), cut("x" * 100, 6)
    ('x35453', 'xxxxx…')
    """
    return text if len(text) <= limit else text[: limit - 1] + "…"


def without_long_input(message: str) -> str:
    """Return a message in which quoted input and unbroken runs are cut to `ECHOED` characters.

    >>> without_long_input(f"grip {'x' * 20_000!r} has 20000 places")
    "grip 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…' has 20000 places"
    """
    quoted = _QUOTED.sub(lambda found: found[1] + cut(found[2]) + found[1], message)
    return _UNBROKEN.sub(lambda found: cut(found[0]), quoted)


class GripwrightError(Exception):
    """Carry what went wrong, where, and what would be right."""

    code = "error"

    def __init__(
        self,
        message: str,
        *,
        field: str | None = None,
        at: int | str | None = None,
        remedy: str | None = None,
    ) -> None:
        self.message = without_long_input(message)
        self.field = field if field is None else cut(field)
        self.at = at
        self.remedy = remedy if remedy is None else without_long_input(remedy)
        super().__init__(self.message)

    def as_dict(self) -> dict[str, Any]:
        """Return the error object of the command contract."""
        return {
            "code": self.code,
            "message": self.message,
            "field": self.field,
            "at": self.at,
            "remedy": self.remedy,
        }


class InputError(GripwrightError):
    """Report input that cannot be used as it is."""

    code = "input"


class NoteError(InputError):
    """Report a note, degree or key that does not parse."""

    code = "note"


class SymbolError(InputError):
    """Report a chord symbol that does not parse; ``at`` is the 0-based character."""

    code = "symbol"


class TuningError(InputError):
    """Report a tuning or capo that does not parse."""

    code = "tuning"


class GripError(InputError):
    """Report a grip that does not parse or does not fit the neck."""

    code = "grip"


class LessonError(InputError):
    """Report a lesson file that has problems; ``problems`` holds all of them."""

    code = "lesson"

    def __init__(self, message: str, *, problems: tuple[Any, ...] = (), **kw: Any) -> None:
        super().__init__(message, **kw)
        self.problems = problems

    def as_dict(self) -> dict[str, Any]:
        """Return the error object with its ``problems``, each with line, column and message."""
        return {**super().as_dict(), "problems": [asdict(problem) for problem in self.problems]}


class ChangesError(InputError):
    """Report several chords of changes that cannot be read; ``problems`` holds their errors.

    Its code, field and place are those of the first.
    """

    def __init__(self, problems: tuple[InputError, ...]) -> None:
        first = problems[0]
        told = [f"{one.message}; {one.remedy}" for one in problems[:TOLD]]
        more = [f"... and {len(problems) - TOLD} more"] if len(problems) > TOLD else []
        super().__init__(
            "\n".join([*told, *more]), field=first.field, at=first.at,
            remedy=f"mend these {len(problems)} chords",
        )  # fmt: skip
        self.code, self.problems = first.code, problems

    def as_dict(self) -> dict[str, Any]:
        """Return the error object with its ``problems``, each with the index of its chord."""
        problems = [
            {"code": one.code, "at": one.at, "message": one.message, "suggestion": one.remedy}
            for one in self.problems
        ]
        return {**super().as_dict(), "problems": problems}


class MediaError(InputError):
    """Report a recording that cannot be read or used."""

    code = "media"


class SearchError(InputError):
    """Report constraints that no grip, path or tuning can meet."""

    code = "search"


class BuildError(GripwrightError):
    """Report a pack that could not be built or written."""

    code = "build"


class StoppedError(GripwrightError):
    """Report that the user stopped a command before it was done."""

    code = "stopped"


class MachineError(GripwrightError):
    """Report that the machine refused: no room, no memory, no right to a file."""

    code = "system"


class InternalError(GripwrightError):
    """Report a fault of Gripwright itself that nothing foresaw."""

    code = "internal"
