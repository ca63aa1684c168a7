"""Our fonts and how wide they set: where the files are, and advance widths without a renderer.

The faces derive from OFL fonts (NOTICES.md); `scripts/make_fonts.py` makes them and the table.
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from gripwright.draw.look import SANS

FONT_FOLDER = Path(str(files("gripwright.draw") / "fonts"))


@lru_cache(maxsize=1)
def _metrics() -> dict[str, Any]:
    metrics: dict[str, Any] = json.loads((FONT_FOLDER / "metrics.json").read_text("utf-8"))
    return metrics


@lru_cache(maxsize=1)
def _covered() -> frozenset[str]:
    return frozenset(_metrics()["covers"])


def width(text: str, size: float, face: str = f"{SANS} SemiBold") -> float:
    """Return the set width of a text in the unit of ``size``, kerning left out.

    >>> width("11", 1000)
    1026.0
    """
    table: dict[str, int] = _metrics()[face]
    return sum(table.get(character, table["m"]) for character in text) * size / 1000


def covers(text: str) -> bool:
    """Return whether our text faces have every character of a text.

    >>> covers("B♭ Ωmega Жар"), covers("曲")
    (True, False)
    """
    return _covered().issuperset(text)
