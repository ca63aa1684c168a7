"""The bytes of a score that someone hands over: a plain file, not too large."""

from __future__ import annotations

from pathlib import Path

from gripwright.errors import InputError
from gripwright.files import shown, why_unreadable


def content(path: Path, max_bytes: int) -> bytes:
    """Return the bytes of a file, one more than the most that is wanted.

    Raises InputError for what is no plain file or cannot be opened.
    """
    try:
        said, remedy = why_unreadable(path) or ("", "")
        if not said:
            with path.open("rb") as handle:
                return handle.read(max_bytes + 1)
    except OSError as error:
        said, remedy = f"cannot be opened: {error.strerror}", "give the path of a score"
    raise InputError(f"{shown(path)} {said}", field="file", at=str(path), remedy=remedy)
