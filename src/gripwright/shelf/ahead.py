"""What the next lesson could teach, from what the shelf holds and what the trade has.

*New*: a quality or a device of the common stock that no lesson has, at the level of the lessons
or one above. *Again*: one that was taught in one lesson only, and not lately; what is met once
more after a while is kept (spacing; common practice, no source). *Neglected*: the minor keys, or
the major ones, where nine lessons in ten are in the other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from gripwright.shelf.facts import LessonFacts
from gripwright.shelf.stock import DEVICES, QUALITIES
from gripwright.shelf.store import Shelf
from gripwright.theory.symbol import parse_symbol

LATELY = 3  # lessons: what the last three had is not due again
_FEW = 5  # lessons below which nothing is said of keys
_MOST = 0.9
_MEDIUM = 3
Why = Literal["new", "again", "neglected"]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Something to teach: of which ``kind`` it is, ``what``, and why in a sentence."""

    why: Why
    kind: Literal["quality", "device", "mode"]
    what: str
    text: str


@dataclass(frozen=True, slots=True)
class Novelty:
    """What a lesson brings: seen against the shelf, itself left aside."""

    new: dict[str, tuple[str, ...]]
    again: dict[str, tuple[str, ...]]


def ahead(shelf: Shelf, level: int | None = None) -> tuple[Suggestion, ...]:
    """Return suggestions: what is due again, what is new, what is neglected.

    ``level`` is the highest that is suggested; None is one above the usual level of the lessons.
    """
    top = level if level is not None else min(5, _usual_level(shelf) + 1)
    rows = shelf.rows("SELECT id, title FROM lessons ORDER BY id")
    order = {row["id"]: place for place, row in enumerate(rows)}
    titles = [row["title"] for row in rows]
    had = {
        "quality": _lessons_of(shelf.rows("SELECT DISTINCT quality AS what, lesson FROM uses "
                                          "WHERE symbol <> ''"), order),
        "device": _lessons_of(shelf.rows("SELECT DISTINCT kind AS what, lesson FROM remarks"),
                              order),
    }  # fmt: skip
    stock = [*(("quality", *row) for row in QUALITIES), *(("device", *row) for row in DEVICES)]
    found = [*_again(stock, had, titles), *_new(stock, had, top), *_neglected(shelf)]
    return tuple(found)


def _lessons_of(rows: Iterable[dict[str, object]], order: dict[int, int]) -> dict[str, set[int]]:
    found: dict[str, set[int]] = {}
    for row in rows:
        found.setdefault(str(row["what"]), set()).add(order[int(str(row["lesson"]))])
    return found


Stock = Iterable[tuple[str, str, int]]


def _again(
    stock: Stock, had: dict[str, dict[str, set[int]]], titles: list[str]
) -> Iterator[Suggestion]:
    due = []
    for kind, what, _ in stock:
        places = had[kind].get(what, set())
        if len(places) == 1 and (place := min(places)) < len(titles) - LATELY:
            due.append((place, kind, what))
    for place, kind, what in sorted(due, key=lambda row: row[0]):
        since = len(titles) - 1 - place
        yield _suggest("again", kind, what, f"only {titles[place]!r} has it, {since} lessons ago")


def _new(stock: Stock, had: dict[str, dict[str, set[int]]], top: int) -> Iterator[Suggestion]:
    for kind, what, level in stock:
        if level <= top and what not in had[kind]:
            yield _suggest("new", kind, what, f"no lesson has it; taught from level {level}")


def _suggest(why: Why, kind: str, what: str, text: str) -> Suggestion:
    if kind == "quality":
        return Suggestion(why, "quality", what, f"{parse_symbol('C' + what).pretty}: {text}")
    return Suggestion(why, "device", what, f"{what.replace('-', ' ')}: {text}")


def _usual_level(shelf: Shelf) -> int:
    """Return the middle level of the lessons that state one, 3 where none does."""
    rows = shelf.rows("SELECT level FROM lessons WHERE level > 0 ORDER BY level")
    return int(rows[len(rows) // 2]["level"]) if rows else _MEDIUM


def _neglected(shelf: Shelf) -> Iterator[Suggestion]:
    keys = [row["key"] for row in shelf.rows("SELECT key FROM lessons WHERE key <> ''")]
    minor = sum(key.split(" ")[-1] in ("minor", "dorian", "phrygian", "aeolian") for key in keys)
    if len(keys) < _FEW:
        return
    for mode, count in (("minor", minor), ("major", len(keys) - minor)):
        if count < (1 - _MOST) * len(keys):
            yield Suggestion(
                "neglected", "mode", mode, f"{mode} keys: {count} of {len(keys)} lessons"
            )


def novelty(shelf: Shelf, facts: LessonFacts) -> Novelty:
    """Return what a lesson has that no other on the shelf has, and what it has again."""
    new: dict[str, tuple[str, ...]] = {}
    again: dict[str, tuple[str, ...]] = {}
    for name, own, query in _features(facts):
        before = {row["what"] for row in shelf.rows(query, (facts.path,))}
        new[name] = tuple(what for what in own if what not in before)
        again[name] = tuple(what for what in own if what in before)
    return Novelty(new, again)


def _features(facts: LessonFacts) -> Iterator[tuple[str, Collection[str], str]]:
    """Yield a name, what the lesson has of it in order, and how the others are asked for it."""
    columns = {"qualities": "quality", "grips": "grip", "shapes": "shape"}
    for name, column in columns.items():
        own = dict.fromkeys(getattr(use, column) for use in facts.uses if use.symbol)
        yield (
            name, [what for what in own if what or name == "qualities"],
            f"SELECT DISTINCT u.{column} AS what FROM uses u JOIN lessons l ON l.id = u.lesson "
            "WHERE l.path <> ? AND u.symbol <> ''",
        )  # fmt: skip
    yield (
        "devices", dict.fromkeys(kind for use in facts.uses for kind in use.remarks),
        "SELECT DISTINCT r.kind AS what FROM remarks r JOIN lessons l ON l.id = r.lesson "
        "WHERE l.path <> ?",
    )  # fmt: skip
