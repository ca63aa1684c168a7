"""Scratch folders that tell whose they are, so that what a killed run left can be cleaned.

Every half-made thing stands in a folder named ``<prefix><process id>-<random>``; a folder
whose process is gone belongs to nobody.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from pathlib import Path

_OWNED = re.compile(r"(\d+)-[^/]*")


def scratch(parent: Path, prefix: str) -> Path:
    """Make a scratch folder of this process in ``parent``; raises OSError."""
    return Path(tempfile.mkdtemp(prefix=f"{prefix}{os.getpid()}-", dir=parent))


def clean(parent: Path, prefix: str) -> None:
    """Remove the scratch folders in ``parent`` whose process is gone."""
    for path in parent.glob(f"{prefix}*"):
        owner = _OWNED.fullmatch(path.name.removeprefix(prefix))
        if owner and not _alive(int(owner[1])):
            shutil.rmtree(path, ignore_errors=True)


def _alive(process_id: int) -> bool:
    if os.name != "posix":
        return True
    try:
        os.kill(process_id, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
