"""What stands at a path: only a plain file is ever read.

A device may never end and a pipe may never begin; a folder holds no text.
"""

from __future__ import annotations

import stat
from pathlib import Path

_KINDS = (
    (stat.S_ISDIR, "is a folder", "give a file in it"),
    (stat.S_ISFIFO, "is a pipe", "save it in a file first, and give that"),
    (stat.S_ISCHR, "is a device", "give a file"),
    (stat.S_ISBLK, "is a device", "give a file"),
    (stat.S_ISSOCK, "is a socket", "give a file"),
)


def shown(path: Path) -> str:
    """Return the name by which a message calls a path, never an empty one.

    >>> shown(Path("songs/lamps.md")), shown(Path("/")), shown(Path("."))
    ('lamps.md', '/', '.')
    """
    return path.name or str(path)


def why_unreadable(path: Path) -> tuple[str, str] | None:
    """Return what a path is and what to do about it where it is no plain file, else None.

    Raises OSError where nothing is there.

    >>> why_unreadable(Path("/"))
    ('is a folder', 'give a file in it')
    """
    mode = path.stat().st_mode
    return next(((said, remedy) for is_one, said, remedy in _KINDS if is_one(mode)), None)
