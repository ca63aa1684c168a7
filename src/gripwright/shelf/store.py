"""The shelf on disk: one SQLite file with every lesson and each of its chords.

It holds nothing that the lesson files do not say, and can be deleted and filled again.
Each lesson goes in whole or not at all.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal

from gripwright.errors import InputError
from gripwright.shelf.facts import LessonFacts, Use

VERSION = 1
_WAIT_S = 10.0
_TABLES = """
CREATE TABLE lessons (
    id INTEGER PRIMARY KEY, path TEXT NOT NULL UNIQUE, sha256 TEXT NOT NULL, title TEXT NOT NULL,
    key TEXT NOT NULL, tuning TEXT NOT NULL, capo INTEGER NOT NULL, level INTEGER NOT NULL,
    tempo_bpm REAL NOT NULL, metre TEXT NOT NULL
);
CREATE TABLE uses (
    lesson INTEGER NOT NULL REFERENCES lessons (id) ON DELETE CASCADE, place INTEGER NOT NULL,
    part TEXT NOT NULL, bar INTEGER NOT NULL, line INTEGER NOT NULL, symbol TEXT NOT NULL,
    quality TEXT NOT NULL, grip TEXT NOT NULL, shape TEXT NOT NULL, top TEXT NOT NULL,
    key TEXT NOT NULL, numeral TEXT NOT NULL, PRIMARY KEY (lesson, place)
);
CREATE TABLE remarks (
    lesson INTEGER NOT NULL REFERENCES lessons (id) ON DELETE CASCADE, place INTEGER NOT NULL,
    kind TEXT NOT NULL
);
CREATE INDEX by_grip ON uses (grip);
CREATE INDEX by_shape ON uses (shape);
"""
_LESSON = "path, sha256, title, key, tuning, capo, level, tempo_bpm, metre"
_USE = "part, bar, line, symbol, quality, grip, shape, top, key, numeral"
Put = Literal["added", "updated", "unchanged"]


def default_path(environment: Mapping[str, str]) -> Path:
    """Return the shelf's file: ``GRIPWRIGHT_SHELF``, or below the XDG data directory.

    The XDG Base Directory Specification gives ``$XDG_DATA_HOME``, by default
    ``~/.local/share``; a relative path there is to be ignored.
    """
    if environment.get("GRIPWRIGHT_SHELF"):
        return Path(environment["GRIPWRIGHT_SHELF"])
    base = Path(environment.get("XDG_DATA_HOME") or ".")
    base = base if base.is_absolute() else Path.home() / ".local" / "share"
    return base / "gripwright" / "shelf.sqlite"


class Shelf:
    """An open shelf. Lessons keep the order in which they were first put on it."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._db = connection

    def put(self, facts: LessonFacts) -> Put:
        """Put a lesson on the shelf, in the place of what is there under its path."""
        row = self._db.execute("SELECT id, sha256 FROM lessons WHERE path = ?", (facts.path,))
        old = row.fetchone()
        if old is not None and old[1] == facts.sha256:
            return "unchanged"
        values = tuple(getattr(facts, name) for name in _LESSON.split(", "))
        marks = ", ".join("?" * len(values))
        with self._db:
            if old is None:
                made = self._db.execute(f"INSERT INTO lessons ({_LESSON}) VALUES ({marks})", values)
                number = made.lastrowid
            else:
                number = old[0]
                self._db.execute(f"UPDATE lessons SET ({_LESSON}) = ({marks}) WHERE id = ?",
                                 (*values, number))  # fmt: skip
                self._db.execute("DELETE FROM uses WHERE lesson = ?", (number,))
                self._db.execute("DELETE FROM remarks WHERE lesson = ?", (number,))
            self._put_uses(number, facts.uses)
        return "added" if old is None else "updated"

    def _put_uses(self, lesson: int | None, uses: tuple[Use, ...]) -> None:
        names = _USE.split(", ")
        self._db.executemany(
            f"INSERT INTO uses (lesson, place, {_USE}) VALUES (?, ?{', ?' * len(names)})",
            [(lesson, place, *(getattr(use, name) for name in names))
             for place, use in enumerate(uses)],
        )  # fmt: skip
        self._db.executemany(
            "INSERT INTO remarks VALUES (?, ?, ?)",
            [(lesson, place, kind) for place, use in enumerate(uses) for kind in use.remarks],
        )

    def drop(self, path: Path) -> bool:
        """Take a lesson off the shelf; tell whether it was there. Its file stays."""
        with self._db:
            gone = self._db.execute("DELETE FROM lessons WHERE path = ?", (str(path.resolve()),))
        return gone.rowcount > 0

    def rows(self, query: str, values: tuple[Any, ...] = ()) -> list[dict[str, Any]]:
        """Return what a query finds, a dictionary a row."""
        cursor = self._db.execute(query, values)
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]

    @property
    def size(self) -> int:
        """Return how many lessons are on it."""
        return int(self._db.execute("SELECT count(*) FROM lessons").fetchone()[0])


@contextmanager
def open_shelf(path: Path, *, make: bool = False) -> Iterator[Shelf]:
    """Open a shelf; ``make`` one where there is none.

    Raises InputError for one that is not there, for what is no shelf, is of a newer Gripwright,
    or cannot be used.
    """
    if not make and not path.exists():
        raise InputError(
            f"there is no shelf at {path} yet", field="shelf", at=str(path),
            remedy="put lessons on it: gripwright shelf add lesson.md",
        )  # fmt: skip
    try:
        if make:
            path.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=_WAIT_S)
    except (OSError, sqlite3.Error) as error:
        raise _refused(path, error) from error
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        _prepare(connection, path)
        yield Shelf(connection)
    except sqlite3.Error as error:
        raise _refused(path, error) from error
    finally:
        connection.close()


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    if _version(connection, path):
        return
    connection.execute("BEGIN IMMEDIATE")  # of two that begin a shelf at once, one waits
    with connection:
        if not _version(connection, path):
            for statement in _TABLES.split(";"):
                connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {VERSION}")


def _version(connection: sqlite3.Connection, path: Path) -> int:
    both = "SELECT user_version, (SELECT count(*) FROM sqlite_master) FROM pragma_user_version"
    version, tables = connection.execute(both).fetchone()  # in one look: another may be at it
    if version > VERSION:
        raise InputError(
            f"{path.name} is a shelf of version {version}, this program knows {VERSION}",
            field="shelf", at=str(path), remedy="use a newer Gripwright",
        )  # fmt: skip
    if version == 0 and tables:
        raise InputError(
            f"{path.name} is another program's database", field="shelf", at=str(path),
            remedy="choose another file with --shelf",
        )  # fmt: skip
    return int(version)


def _refused(path: Path, error: Exception) -> InputError:
    said = (error.strerror if isinstance(error, OSError) else None) or str(error)
    return InputError(
        f"the shelf {path} cannot be used: {said}", field="shelf", at=str(path),
        remedy="choose another file with --shelf; a broken shelf may be deleted and filled again",
    )  # fmt: skip
