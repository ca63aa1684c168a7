"""The cache: what stages made, kept outside the pack by key.

An entry is a folder ``ab/abcd…`` with the files and ``entry.json`` (what they are, their
hashes). It is written beside and renamed into place, so that any number of runs may share a
cache and a killed one leaves nothing half. Files are hashed again on the way out: an entry
that does not hold what it says is thrown away and made anew. What was not used for longest
goes first when the cache outgrows its bound.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import msgspec

from gripwright.errors import BuildError
from gripwright.pack.digest import file_digest
from gripwright.pack.leftovers import clean, scratch
from gripwright.pack.stage import Made

LIMIT_BYTES = 4 << 30
_SCRATCH = "half-"


@dataclass(frozen=True, slots=True)
class Kept:
    """A product in the cache: what it is, its hash and size, and where it lies."""

    made: Made
    sha256: str
    bytes: int
    place: Path


def default_folder(environment: Mapping[str, str]) -> Path:
    """Return the cache folder: ``GRIPWRIGHT_CACHE``, or below the XDG cache directory.

    The XDG Base Directory Specification gives ``$XDG_CACHE_HOME``, by default ``~/.cache``;
    a relative path there is to be ignored.
    """
    if environment.get("GRIPWRIGHT_CACHE"):
        return Path(environment["GRIPWRIGHT_CACHE"])
    base = Path(environment.get("XDG_CACHE_HOME") or ".")
    return (base if base.is_absolute() else Path.home() / ".cache") / "gripwright"


class Cache:
    """Products by key in a folder of a bounded size."""

    def __init__(self, folder: Path, limit_bytes: int = LIMIT_BYTES) -> None:
        self.folder = folder
        self.limit_bytes = limit_bytes

    def find(self, key: str) -> tuple[Kept, ...] | None:
        """Return the products of a key, None when there is no sound entry."""
        place = self._place(key)
        try:
            rows = msgspec.json.decode((place / "entry.json").read_bytes(), type=list[_Row])
            kept = tuple(Kept(r.made, r.sha256, r.bytes, place / r.made.path) for r in rows)
            sound = all(file_digest(one.place) == one.sha256 for one in kept)
        except (OSError, msgspec.DecodeError):
            sound = False
        if not sound:
            shutil.rmtree(place, ignore_errors=True)
            return None
        with suppress(OSError):
            os.utime(place)
        return kept

    @contextmanager
    def half(self) -> Iterator[Path]:
        """Give a scratch folder to make an entry in; it is gone afterwards."""
        with _reporting(self.folder):
            self.folder.mkdir(parents=True, exist_ok=True)
            folder = scratch(self.folder, _SCRATCH)
        try:
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)

    def put(self, key: str, made: tuple[Made, ...], folder: Path) -> None:
        """Move what a stage made in a scratch folder into the cache under its key."""
        with _reporting(self.folder):
            rows = [
                _Row(m, file_digest(folder / m.path), (folder / m.path).stat().st_size)
                for m in made
            ]
            (folder / "entry.json").write_bytes(msgspec.json.encode(rows))
            place = self._place(key)
            place.parent.mkdir(parents=True, exist_ok=True)
            try:
                folder.rename(place)
            except OSError:
                if not (place / "entry.json").exists():
                    raise

    def discard(self, key: str) -> None:
        """Throw an entry away."""
        shutil.rmtree(self._place(key), ignore_errors=True)

    def prune(self) -> None:
        """Clean what killed runs left, then drop what was not used for longest."""
        clean(self.folder, _SCRATCH)
        entries = []
        for place in self.folder.glob("??/*"):
            with suppress(OSError):
                size = sum(file.stat().st_size for file in place.rglob("*") if file.is_file())
                entries.append((place.stat().st_mtime_ns, size, place))
        total = sum(size for _, size, _ in entries)
        for _, size, place in sorted(entries):
            if total <= self.limit_bytes:
                return
            shutil.rmtree(place, ignore_errors=True)
            total -= size

    def _place(self, key: str) -> Path:
        return self.folder / key[:2] / key


@contextmanager
def _reporting(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise BuildError(
            f"the cache {folder} cannot be written: {error.strerror or error}", field="cache",
            remedy="free some space, or name another folder with --cache or GRIPWRIGHT_CACHE",
        ) from error  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Row:
    made: Made
    sha256: str
    bytes: int
