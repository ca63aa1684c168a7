"""What nobody foresaw, told as one of our errors: the last resort of the command line.

``GRIPWRIGHT_TRACEBACK=1`` in the environment prints where it happened to stderr.
"""

from __future__ import annotations

import importlib
import os
import sys

from gripwright.errors import GripwrightError, InternalError, MachineError

SWITCH = "GRIPWRIGHT_TRACEBACK"


def foreseen(error: Exception) -> GripwrightError:
    """Return an error of ours for any exception, an own one as it is.

    >>> foreseen(MemoryError()).remedy
    'close other programs, or ask for less'
    """
    if isinstance(error, GripwrightError):
        return error
    if os.environ.get(SWITCH, "") not in ("", "0"):
        importlib.import_module("traceback").print_exception(error, file=sys.stderr)
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
    refusals = importlib.import_module("gripwright.pack.refusals")  # only where something failed
    words, remedy = refusals.in_words(error, f"set {SWITCH}=1 to see where it happened")
    words = words or type(error).__name__
    name = os.fsdecode(error.filename) if isinstance(error.filename, str | bytes) else None
    return MachineError(f"{name}: {words}" if name else words, at=name, remedy=remedy)
