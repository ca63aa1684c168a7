"""The pack folder: made whole beside, then swapped in.

Until the swap an older pack stands untouched; the swap is one system call where the system
has it (Linux, ``renameat2`` with ``RENAME_EXCHANGE``), else two renames, and the next run
puts back an older pack that a kill between those two left aside. A folder that holds no
manifest of ours is never touched, and files that someone else put into a pack move along.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from gripwright.errors import BuildError
from gripwright.pack.leftovers import clean, scratch
from gripwright.pack.manifest import MANIFEST, Manifest, read_manifest
from gripwright.pack.refusals import in_words

_AT_FDCWD, _RENAME_EXCHANGE = -100, 2


def check_target(out: Path) -> None:
    """Raise BuildError unless ``out`` is free, empty, or a pack of ours that may be replaced."""
    blocking = next((p for p in (out, *out.parents) if p.exists() and not p.is_dir()), None)
    if blocking is not None:
        raise BuildError(
            f"{blocking} is a file, no pack can stand there", field="out",
            remedy="name a folder for the pack with -o",
        )  # fmt: skip
    if out.resolve() in (here := Path.cwd().resolve(), *here.parents):
        raise BuildError(
            f"{out} is the folder you are in or holds it; a new pack would pull it from under you",
            field="out", remedy="name another folder, or build from outside of it",
        )  # fmt: skip
    if not out.is_dir() or not any(out.iterdir()):
        return
    if read_manifest(out) is None:
        raise BuildError(
            f"{out} holds files that are no pack of Gripwright ({MANIFEST} is missing or not "
            "ours); nothing was changed", field="out", remedy="name a new or an empty folder",
        )  # fmt: skip


@contextmanager
def staging(out: Path) -> Iterator[Path]:
    """Give a folder beside ``out`` to lay a pack in; swap it in when the block ends well.

    Raises BuildError when the folder cannot be written; then, and on anything else that
    ends the block early, the older pack stays as it was.
    """
    target = out.resolve()
    prefix = f".{target.name}.gripwright-"
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _put_back(target)
        clean(target.parent, prefix)
        check_target(target)
        desk = scratch(target.parent, prefix)
        try:
            folder = desk / "pack"
            folder.mkdir()
            yield folder
            _carry_along(target, folder)
            _swap(folder, target)
        finally:
            shutil.rmtree(desk, ignore_errors=True)
    except OSError as error:
        reason, remedy = in_words(error)
        raise BuildError(
            f"the pack {out} cannot be written: {reason}; the older one, if "
            "there was one, is as it was", field="out",
            remedy=f"{remedy}, or name another folder with -o",
        ) from error  # fmt: skip


def _carry_along(target: Path, folder: Path) -> None:
    """Link or copy into the new pack what is in the old folder and none of its products."""
    manifest = read_manifest(target)
    if manifest is None:
        return
    ours = _paths(manifest)
    for path in sorted(target.rglob("*")):
        name = path.relative_to(target).as_posix()
        place = folder / name
        if name in ours or place.exists() or not (path.is_file() or path.is_symlink()):
            continue
        place.parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(path, place, follow_symlinks=False)
        except OSError:
            shutil.copy2(path, place, follow_symlinks=False)


def _paths(manifest: Manifest) -> set[str]:
    return {MANIFEST, manifest.zip, *(product.path for product in manifest.files)}


def _aside(target: Path) -> Path:
    return target.with_name(f".{target.name}.gripwright-older")


def _swap(folder: Path, target: Path) -> None:
    if not target.exists():
        folder.rename(target)
        return
    if _exchange(folder, target):
        return
    target.rename(_aside(target))
    folder.rename(target)
    shutil.rmtree(_aside(target), ignore_errors=True)


def _put_back(target: Path) -> None:
    """Finish or undo the two renames of a run that was killed between them."""
    aside = _aside(target)
    if not aside.is_dir():
        return
    if target.exists():
        shutil.rmtree(aside, ignore_errors=True)
    else:
        aside.rename(target)


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; return False where the system cannot."""
    if not sys.platform.startswith("linux"):
        return False
    with suppress(AttributeError):
        call = ctypes.CDLL(None, use_errno=True).renameat2
        arguments = (_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE)
        return int(call(*arguments)) == 0
    return False
