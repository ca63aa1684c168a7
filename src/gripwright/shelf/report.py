"""What a teacher's lessons favour: qualities, tensions, grips, shapes, top notes, moves, devices.

Of each the count of written chords and of lessons is told, most lessons first: a chord that one
song repeats is no habit. A move is two chords in a row within one key.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from gripwright.shelf.store import Shelf
from gripwright.theory.symbol import parse_symbol

_TENSION = 9  # degrees from here on are tensions; altered fifths count with them
FEATURES = {
    "qualities": "quality", "grips": "grip", "shapes": "shape", "tops": "top",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Habit:
    """Something that lessons do: in how many written chords, and in how many lessons."""

    what: str
    chords: int
    lessons: int


@dataclass(frozen=True, slots=True)
class Report:
    """The habits of a shelf, by kind; ``keys`` and ``tunings`` count lessons alone."""

    lessons: int
    chords: int
    habits: dict[str, tuple[Habit, ...]]


def report(shelf: Shelf) -> Report:
    """Return what the lessons on a shelf favour."""
    (chords,) = (row["n"] for row in shelf.rows("SELECT count(*) AS n FROM uses"))
    habits = {name: _column(shelf, column) for name, column in FEATURES.items()}
    habits["tensions"] = _tensions(shelf)
    habits["moves"] = _moves(shelf)
    habits["remarks"] = _told(shelf.rows(
        "SELECT kind AS what, count(*) AS chords, count(DISTINCT lesson) AS lessons "
        "FROM remarks GROUP BY kind"
    ))  # fmt: skip
    for name, column in (("keys", "key"), ("tunings", "tuning")):
        habits[name] = _told(shelf.rows(
            f"SELECT {column} AS what, count(*) AS lessons, 0 AS chords FROM lessons "
            f"WHERE {column} <> '' GROUP BY {column}"
        ))  # fmt: skip
    return Report(shelf.size, chords, habits)


def _column(shelf: Shelf, column: str) -> tuple[Habit, ...]:
    having = "symbol <> ''" if column == "quality" else f"{column} <> ''"
    return _told(shelf.rows(
        f"SELECT {column} AS what, count(*) AS chords, count(DISTINCT lesson) AS lessons "
        f"FROM uses WHERE {having} GROUP BY {column}"
    ))  # fmt: skip


def _tensions(shelf: Shelf) -> tuple[Habit, ...]:
    """Count the ninths, elevenths, thirteenths and altered fifths that the symbols claim."""
    chords: dict[str, int] = defaultdict(int)
    lessons: dict[str, set[int]] = defaultdict(set)
    rows = shelf.rows("SELECT lesson, quality, count(*) AS n FROM uses WHERE symbol <> '' "
                      "GROUP BY lesson, quality")  # fmt: skip
    for row in rows:
        for degree in parse_symbol("C" + row["quality"]).degrees:
            if degree.number >= _TENSION or degree.text in ("b5", "#5"):
                chords[degree.text] += row["n"]
                lessons[degree.text].add(row["lesson"])
    return _sorted(Habit(what, chords[what], len(lessons[what])) for what in chords)


def _moves(shelf: Shelf) -> tuple[Habit, ...]:
    return _told(shelf.rows(
        "SELECT u.numeral || ' ' || v.numeral AS what, count(*) AS chords, "
        "count(DISTINCT u.lesson) AS lessons FROM uses u JOIN uses v ON v.lesson = u.lesson "
        "AND v.place = u.place + 1 AND v.key = u.key AND v.part = u.part "
        "WHERE u.numeral <> '' AND v.numeral <> '' AND u.numeral <> v.numeral GROUP BY what"
    ))  # fmt: skip


def _told(rows: list[dict[str, object]]) -> tuple[Habit, ...]:
    return _sorted(
        Habit(str(row["what"]), int(str(row["chords"])), int(str(row["lessons"]))) for row in rows
    )


def _sorted(habits: Iterable[Habit]) -> tuple[Habit, ...]:
    return tuple(sorted(habits, key=lambda h: (-h.lessons, -h.chords, h.what)))
