"""Why the system refuses, in words, and what to do about it: one table for all commands."""

from __future__ import annotations

import errno
import shutil
from pathlib import Path

try:
    import resource
except ImportError:  # no such limits on this system
    resource = None  # type: ignore[assignment]

Refusal = tuple[str, str]

_RIGHTS = ("you have no right to that file or folder", "give yourself the right to it")
_A_FILE = ("a part of that path is a file, no folder", "give another path")
_WORDS = {
    errno.ENOSPC: ("the disk is full", "free some space on that disk"),
    errno.EDQUOT: ("your quota of that disk is used up", "free some space within your quota"),
    errno.EFBIG: ("the file is larger than the shell or the disk allows", "raise that limit"),
    errno.EROFS: ("that disk can only be read", "write to a folder on another disk"),
    errno.EACCES: _RIGHTS,
    errno.EPERM: _RIGHTS,
    errno.ENOTDIR: _A_FILE,
    errno.EEXIST: _A_FILE,
    errno.ENOENT: ("nothing can be found or made there", "see that the path is right"),
    errno.ENAMETOOLONG: ("that name is too long", "give a shorter name"),
    errno.EMFILE: ("too many files are open", "close other programs"),
}


def in_words(error: OSError, otherwise: str = "see that the folder can be written to") -> Refusal:
    """Return what the system refused and what to do about it, ``otherwise`` where we know not.

    >>> in_words(OSError(errno.ENOSPC, "No space left on device"))
    ('the disk is full', 'free some space on that disk')
    """
    return _WORDS.get(error.errno or 0, (error.strerror or str(error), otherwise))


def full_or_limited(folder: Path) -> Refusal:
    """Return why a file could not grow in a folder, where the writer did not say."""
    if resource is not None:
        limit = resource.getrlimit(resource.RLIMIT_FSIZE)[0]
        if limit != resource.RLIM_INFINITY:
            return (
                f"the shell allows no file over {limit / 1e6:.1f} MB",
                "raise that limit (ulimit -f)",
            )
    free = shutil.disk_usage(folder).free / 1e6
    return (
        f"the disk is full ({free:.0f} MB free)",
        f"free some space on the disk of {folder}, or choose another with --cache",
    )
