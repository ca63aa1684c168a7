"""Files of an older pack that were edited by hand: kept beside, never lost."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from itertools import count
from pathlib import Path, PurePosixPath

from gripwright.pack.digest import file_digest
from gripwright.pack.manifest import read_manifest


@dataclass(frozen=True, slots=True)
class Edited:
    """A product that was edited by hand, and under which path the edited one is kept."""

    path: str
    kept_as: str


def keep_edited(older: Path, newer: Path) -> tuple[Edited, ...]:
    """Copy into a new pack what was edited in the older one; return what that was.

    A file was edited when its hash is not that of the older manifest; one that is what the new
    pack holds anyway is left. Raises OSError.
    """
    manifest = read_manifest(older)
    found = []
    for product in manifest.files if manifest else ():
        place = older / product.path
        if not place.is_file():
            continue
        sha256 = file_digest(place)
        made = newer / product.path
        if sha256 == product.sha256 or (made.is_file() and file_digest(made) == sha256):
            continue
        kept_as = _free(product.path, older, newer)
        (newer / kept_as).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(place, newer / kept_as)
        found.append(Edited(product.path, kept_as))
    return tuple(found)


def _free(path: str, *folders: Path) -> str:
    """Return the first of ``a.edited.txt``, ``a.edited-2.txt``, … that no folder has."""
    plain = PurePosixPath(path)
    for number in count(1):
        sign = "edited" if number == 1 else f"edited-{number}"
        name = str(plain.with_name(f"{plain.stem}.{sign}{plain.suffix}"))
        if not any((folder / name).exists() for folder in folders):
            return name
    raise AssertionError
