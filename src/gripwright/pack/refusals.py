"""Why the system refuses to write, in words, and what to do about it."""

from __future__ import annotations

import errno
import shutil
from pathlib import Path

try:
    import resource
except ImportError:  # no such limits on this system
    resource = None  # type: ignore[assignment]

_WORDS = {
    errno.ENOSPC: ("the disk is full", "free some space there"),
    errno.EDQUOT: ("your quota of that disk is used up", "free some space there"),
    errno.EFBIG: ("the file is larger than the shell or the disk allows", "raise that limit"),
    errno.EROFS: ("that disk can only be read", "name a folder on another disk"),
    errno.EACCES: ("you may not write there", "name a folder of your own"),
    errno.EPERM: ("you may not write there", "name a folder of your own"),
    errno.ENOTDIR: ("a part of that path is a file", "name a folder"),
    errno.EEXIST: ("a part of that path is a file", "name a folder"),
    errno.ENOENT: ("no folder can be made there", "name a folder on a disk of yours"),
    errno.ENAMETOOLONG: ("that name is too long", "give a shorter name"),
}


def in_words(error: OSError) -> tuple[str, str]:
    """Return what the system refused and what to do about it.

    >>> in_words(OSError(errno.ENOSPC, "No space left on device"))
    ('the disk is full', 'free some space there')
    """
    unknown = (error.strerror or str(error), "see that the folder can be written to")
    return _WORDS.get(error.errno or 0, unknown)


def full_or_limited(folder: Path) -> tuple[str, str]:
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
