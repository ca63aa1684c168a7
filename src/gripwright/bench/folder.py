"""The opened folder: nothing outside it can be read or written.

Every path is walked component by component with links refused, so a link planted inside the
folder leads nowhere. Writing goes beside the file and is then renamed over it.
"""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from gripwright.errors import InputError

MAX_LESSON_BYTES = 4 * 1024 * 1024
MAX_DEPTH = 4


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder that was opened on the bench.

    >>> Folder(Path("lessons")).parts("songs/one.md")
    ('songs', 'one.md')
    """

    root: Path

    def parts(self, relative: str) -> tuple[str, ...]:
        """Return the components of a path inside; raises InputError for one that leads out."""
        path = PurePosixPath(relative)
        bad = (
            not path.parts or path.is_absolute() or "\\" in relative or "\0" in relative
            or any(part in ("..", ".") or part.startswith(".") for part in path.parts)
            or len(path.parts) > MAX_DEPTH or any(len(os.fsencode(p)) > 255 for p in path.parts)
        )  # fmt: skip
        if bad:
            raise InputError(
                f"{relative[:80]!r} is not a path inside the opened folder",
                field="path", remedy="give a name in the folder that the bench shows",
            )  # fmt: skip
        return path.parts

    @contextmanager
    def _parent(self, relative: str) -> Iterator[tuple[int, str]]:
        """Yield an open descriptor of the parent folder and the last component."""
        *folders, name = self.parts(relative)
        handle = os.open(self.root, os.O_RDONLY | os.O_DIRECTORY)
        try:
            for part in folders:
                deeper = os.open(part, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW, dir_fd=handle)
                os.close(handle)
                handle = deeper
            yield handle, name
        except OSError as error:
            raise _refused(relative, error) from error
        finally:
            os.close(handle)

    def read(self, relative: str, limit: int = MAX_LESSON_BYTES) -> bytes:
        """Return the bytes of a regular file; raises InputError."""
        with self._parent(relative) as (parent, name):
            handle = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=parent)
            with os.fdopen(handle, "rb") as file:
                info = os.fstat(file.fileno())
                if not stat.S_ISREG(info.st_mode) or info.st_size > limit:
                    raise InputError(
                        f"{relative!r} is no file, or larger than {limit:,} bytes", field="path",
                        remedy="open a smaller file",
                    )  # fmt: skip
                return file.read(limit + 1)

    def write(self, relative: str, content: bytes, *, fresh: bool = False) -> None:
        """Write a file whole or not at all; ``fresh`` refuses to replace one."""
        with self._parent(relative) as (parent, name):
            if fresh and _exists(parent, name):
                raise InputError(
                    f"{relative!r} is there already", field="path", remedy="choose another name"
                )
            beside = f".{name[:80]}.{secrets.token_hex(6)}.part"
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW
            handle = os.open(beside, flags, 0o644, dir_fd=parent)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(content)
                    file.flush()
                    os.fsync(file.fileno())
                os.rename(beside, name, src_dir_fd=parent, dst_dir_fd=parent)
            except BaseException:
                os.unlink(beside, dir_fd=parent)
                raise

    def stamp(self, relative: str) -> tuple[int, int] | None:
        """Return (modified ns, size) of a file, None where there is none."""
        with self._parent(relative) as (parent, name):
            try:
                info = os.stat(name, dir_fd=parent, follow_symlinks=False)
            except FileNotFoundError:
                return None
        return (info.st_mtime_ns, info.st_size)

    def path(self, relative: str) -> Path:
        """Return the real path of a regular file inside, for a reader that needs a name."""
        with self._parent(relative) as (parent, name):
            info = os.stat(name, dir_fd=parent, follow_symlinks=False)
            if not stat.S_ISREG(info.st_mode):
                raise InputError(f"{relative!r} is no file", field="path")
        return self.root.joinpath(*self.parts(relative))

    def find(self, suffixes: tuple[str, ...]) -> tuple[str, ...]:
        """Return the files with one of these endings, links and hidden names left out."""
        found: list[str] = []
        for base, folders, names in os.walk(self.root, followlinks=False):
            inside = Path(base).relative_to(self.root)
            depth = len(inside.parts)
            folders[:] = sorted(
                f for f in folders if not f.startswith(".") and depth + 2 <= MAX_DEPTH
            )
            for name in sorted(names):
                wanted = name.lower().endswith(suffixes) and not name.startswith(".")
                if wanted and not Path(base, name).is_symlink():
                    found.append((inside / name).as_posix())
        return tuple(found)


def _exists(parent: int, name: str) -> bool:
    try:
        os.stat(name, dir_fd=parent, follow_symlinks=False)
    except FileNotFoundError:
        return False
    return True


def _refused(relative: str, error: OSError) -> InputError:
    reason = "is a link or leads through one" if error.errno == 40 else (error.strerror or "failed")
    return InputError(
        f"{relative[:80]!r} cannot be opened: {reason}", field="path",
        remedy="give a plain file inside the opened folder",
    )  # fmt: skip
