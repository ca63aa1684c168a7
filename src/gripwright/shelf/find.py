"""Find where something was taught: a grip, a shape, a symbol, a move, a device, a title."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from gripwright.errors import GripwrightError, InputError
from gripwright.neck.grip import parse_grip
from gripwright.shelf.facts import shape_of
from gripwright.shelf.store import Shelf
from gripwright.theory.quality_text import quality_text
from gripwright.theory.symbol import parse_symbol

Kind = Literal["grip", "shape", "symbol", "quality", "numerals", "remark", "title"]
_NUMERAL = re.compile(r"[b#]*(?:[IV]+|[iv]+)(?:o|ø|\+|maj|sus|add)?[\d/A-Za-z#]*")
_MOST_NUMERALS = 12
_PLACE = (
    "SELECT l.path, l.title, l.tuning, u.part, u.bar, u.line, u.symbol, u.grip, u.numeral, u.key "
    "FROM uses u JOIN lessons l ON l.id = u.lesson "
)
_ORDER = " ORDER BY l.id, u.place"


@dataclass(frozen=True, slots=True)
class Found:
    """A place in a lesson: the file, its title, part, bar and line (from 1), what stands there."""

    path: str
    title: str
    tuning: str
    part: str
    bar: int
    line: int
    symbol: str
    grip: str
    numeral: str
    key: str

    @property
    def is_missing(self) -> bool:
        """Tell whether the file is no longer where it was shelved."""
        return not Path(self.path).is_file()


def find(shelf: Shelf, text: str, *, moved: bool = False) -> tuple[Kind, tuple[Found, ...]]:
    """Return how a question was read, and where its answer is taught, in the order of the shelf.

    ``x35453`` asks for a grip (``moved``: for its shape at any fret), ``Cmaj7`` for a symbol
    (``moved``: for its quality on any root), ``ii7 V7 Imaj7`` for numerals in a row within a
    key, ``tritone-substitute`` for a remark of ``explain``, anything else for words of the
    title. Raises InputError for an empty question.
    """
    text = text.strip()
    if not text:
        raise InputError(
            "find what? The question is empty", field="query",
            remedy="give a grip, a symbol, numerals, a remark or a title",
        )  # fmt: skip
    return (
        _grip(shelf, text, moved) or _numerals(shelf, text) or _symbol(shelf, text, moved)
        or _remark(shelf, text) or _title(shelf, text)
    )  # fmt: skip


Answer = tuple[Kind, tuple[Found, ...]]


def _places(shelf: Shelf, where: str, *values: object) -> tuple[Found, ...]:
    rows = shelf.rows(f"{_PLACE} WHERE {where} {_ORDER}", values)
    return tuple(Found(**row) for row in rows)


def _grip(shelf: Shelf, text: str, moved: bool) -> Answer | None:
    if not re.fullmatch(r"[xX\d][xX\d-]{3,}", text):
        return None
    grip = parse_grip(text)
    shape = shape_of(grip)
    if not moved:
        return "grip", _places(shelf, "u.grip = ?", grip.text)
    if not shape:
        raise InputError(
            f"{grip.text} has open strings: it has no shape that moves", field="moved",
            remedy="look for the grip itself, without --moved",
        )  # fmt: skip
    return "shape", _places(shelf, "u.shape = ?", shape)


def _symbol(shelf: Shelf, text: str, moved: bool) -> Answer | None:
    try:
        symbol = parse_symbol(text)
    except GripwrightError:
        return None
    if moved:
        return "quality", _places(shelf, "u.quality = ?", quality_text(symbol.quality))
    return "symbol", _places(shelf, "u.symbol = ?", symbol.text)


def _numerals(shelf: Shelf, text: str) -> Answer | None:
    """Find numerals in a row: each on the chord after the one before, in one key."""
    words = re.split(r"[\s,-]+", text)
    if len(words) > _MOST_NUMERALS or not all(map(_NUMERAL.fullmatch, words)):
        return None
    joins = "".join(
        f" JOIN uses u{i} ON u{i}.lesson = u.lesson AND u{i}.place = u.place + {i} "
        f"AND u{i}.key = u.key AND u{i}.numeral = ?"
        for i in range(1, len(words))
    )
    rows = shelf.rows(f"{_PLACE}{joins} WHERE u.numeral = ? {_ORDER}", (*words[1:], words[0]))
    return "numerals", tuple(Found(**row) for row in rows)


def _remark(shelf: Shelf, text: str) -> Answer | None:
    kind = re.sub(r"\s+", "-", text.lower())
    found = _places(
        shelf,
        "EXISTS (SELECT 1 FROM remarks r WHERE r.lesson = u.lesson AND r.place = u.place "
        "AND r.kind = ?)", kind,
    )  # fmt: skip
    return ("remark", found) if found else None


def _title(shelf: Shelf, text: str) -> Answer:
    """Find lessons whose title holds the words; the file stands for each."""
    words = text.casefold().split()
    rows = shelf.rows("SELECT path, title, tuning, key FROM lessons ORDER BY id")
    named = [row for row in rows if all(word in row["title"].casefold() for word in words)]
    return "title", tuple(
        Found(row["path"], row["title"], row["tuning"], "", 0, 1, "", "", "", row["key"])
        for row in named
    )
