"""What nobody foresaw, told as one of our errors: the last resort of the command line.

``GRIPWRIGHT_TRACEBACK=1`` in the environment prints where it happened to stderr.
"""

from __future__ import annotations

import errno
import os
import sys
import traceback

from gripwright.errors import GripwrightError, InternalError, MachineError

SWITCH = "GRIPWRIGHT_TRACEBACK"
_REMEDIES = {
    errno.ENOSPC: "free some space on that disk",
    errno.EDQUOT: "free some space within your quota",
    errno.EFBIG: "the disk or the shell limits the size of a file: raise that limit",
    errno.EACCES: "give yourself the right to that file, or use another folder",
    errno.EPERM: "give yourself the right to that file, or use another folder",
    errno.EROFS: "write to another folder: this disk can only be read",
    errno.ENAMETOOLONG: "give a shorter name",
    errno.ENOTDIR: "one of the folders in that path is a file: give another path",
    errno.EMFILE: "close other programs: too many files are open",
}


def foreseen(error: Exception) -> GripwrightError:
    """Return an error of ours for any exception, an own one as it is.

    >>> foreseen(OSError(errno.ENOSPC, "No space left on device")).remedy
    'free some space on that disk'
    """
    if isinstance(error, GripwrightError):
        return error
    if os.environ.get(SWITCH, "") not in ("", "0"):
        traceback.print_exception(error, file=sys.stderr)
    if isinstance(error, MemoryError):
        return MachineError(
            "there is not enough memory for this", remedy="close other programs, or ask for less"
        )
    if isinstance(error, OSError):
        return _of_the_machine(error)
    said = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    return InternalError(
        f"a fault of Gripwright itself ({said})",
        remedy=f"set {SWITCH}=1 to see where it happened, and report it with what you typed",
    )


def _of_the_machine(error: OSError) -> MachineError:
    words = error.strerror or str(error) or type(error).__name__
    name = os.fsdecode(error.filename) if isinstance(error.filename, str | bytes) else None
    remedy = _REMEDIES.get(error.errno or 0, f"set {SWITCH}=1 to see where it happened")
    return MachineError(f"{name}: {words}" if name else words, at=name, remedy=remedy)
