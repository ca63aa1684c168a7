"""The errors that Gripwright raises.

    GripwrightError
    ├── InputError          what the user gave cannot be used (exit code 2)
    │   ├── NoteError       a note, degree or key that does not parse
    │   ├── SymbolError     a chord symbol that does not parse
    │   ├── TuningError     a tuning or capo that does not parse
    │   ├── GripError       a grip that does not parse or does not fit the neck
    │   ├── LessonError     a lesson file with problems (all of them at once)
    │   ├── MediaError      a recording that cannot be read
    │   └── SearchError     constraints that nothing can meet
    └── BuildError          a pack that could not be built or written

Every error carries data: a stable ``code``, the ``field`` at fault, the place ``at`` and the
``remedy``; the command line and the bench only present them.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any


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
        super().__init__(message)
        self.message = message
        self.field = field
        self.at = at
        self.remedy = remedy

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


class MediaError(InputError):
    """Report a recording that cannot be read or used."""

    code = "media"


class SearchError(InputError):
    """Report constraints that no grip, path or tuning can meet."""

    code = "search"


class BuildError(GripwrightError):
    """Report a pack that could not be built or written."""

    code = "build"
