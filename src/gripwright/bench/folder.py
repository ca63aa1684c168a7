"""The opened folder: nothing outside it can be read or written.

Every path is walked component by component with links refused, and what was opened is what is
used: a link planted inside the folder, at whatever moment, leads nowhere. Writing goes to a part
beside the file, which then takes its place in one step; the part is locked while it is written,
so that a part which nobody holds is known to be left by a kill, and is swept away.
"""

from __future__ import annotations

import errno
import fcntl
import os
import re
import secrets
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO

from gripwright.errors import GripwrightError, InputError, MachineError
from gripwright.pack.refusals import in_words

MAX_LESSON_BYTES = 4 * 1024 * 1024
MAX_DEPTH = 8
LISTED_DEPTH = 4
PART = re.compile(r"^\..{0,80}\.[0-9a-f]{12}\.part$")
_OF_THE_MACHINE = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS, errno.EACCES, errno.EPERM}
Stamp = tuple[int, int]


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
            or len(path.parts) > MAX_DEPTH or any(not _is_a_name(part) for part in path.parts)
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
        handle = -1
        try:
            handle = os.open(self.root, os.O_RDONLY | os.O_DIRECTORY)
            for part in folders:
                deeper = os.open(part, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW, dir_fd=handle)
                os.close(handle)
                handle = deeper
            yield handle, name
        except OSError as error:
            raise refused(relative, error) from error
        finally:
            if handle >= 0:
                os.close(handle)

    @contextmanager
    def open(self, relative: str) -> Iterator[IO[bytes]]:
        """Yield a regular file, opened for reading; raises InputError."""
        with self._parent(relative) as (parent, name):
            handle = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=parent)
            with os.fdopen(handle, "rb") as file:
                if not stat.S_ISREG(os.fstat(handle).st_mode):
                    raise InputError(
                        f"{relative!r} is no file", field="path", remedy="give a plain file"
                    )
                yield file

    def check_file(self, relative: str) -> None:
        """Raise InputError for a path that leads out, or where no regular file is."""
        with self.open(relative):
            pass

    def read(self, relative: str, limit: int = MAX_LESSON_BYTES) -> bytes:
        """Return the bytes of a regular file; raises InputError, also for one over the limit."""
        with self.open(relative) as file:
            if os.fstat(file.fileno()).st_size > limit:
                raise InputError(
                    f"{relative!r} is larger than {limit:,} bytes", field="path",
                    remedy="open a smaller file",
                )  # fmt: skip
            return file.read(limit + 1)

    @contextmanager
    def held(self, relative: str) -> Iterator[Path]:
        """Yield a path by which a reader that needs a name reaches the very file opened here."""
        with self.open(relative) as file, named(file, self.parts(relative)[-1]) as path:
            yield path

    def write(self, relative: str, content: bytes, *, fresh: bool = False) -> None:
        """Write a file whole or not at all; ``fresh`` refuses to replace one."""
        with self.writing(relative, fresh=fresh) as file:
            file.write(content)

    @contextmanager
    def writing(self, relative: str, *, fresh: bool = False) -> Iterator[IO[bytes]]:
        """Yield a file to be filled, which takes its place when the block ends well.

        Raises InputError for a path that leads out, or is taken where it must be ``fresh``;
        MachineError when the disk is full or nothing may be written there.
        """
        with self._parent(relative) as (parent, name):
            beside = f".{name[:20]}.{secrets.token_hex(6)}.part"
            flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW
            handle = os.open(beside, flags, 0o644, dir_fd=parent)
            try:
                with os.fdopen(handle, "w+b") as file:
                    fcntl.flock(handle, fcntl.LOCK_EX)
                    yield file
                    file.flush()
                    _keep_mode(handle, parent, name)
                    os.fsync(handle)
                    _settle(parent, beside, name, fresh=fresh)
            except BaseException:
                with suppress(FileNotFoundError):
                    os.unlink(beside, dir_fd=parent)
                raise

    def check(self) -> None:
        """Raise InputError when the folder itself has gone, MachineError when it is closed."""
        try:
            os.close(os.open(self.root, os.O_RDONLY | os.O_DIRECTORY))
        except OSError as error:
            raise refused(self.root.name, error) from error

    def exists(self, relative: str) -> bool:
        """Say whether anything stands at a path; raises InputError for one that leads out."""
        with self._parent(relative) as (parent, name):
            return _mode(parent, name) is not None

    def is_link(self, relative: str) -> bool:
        """Say whether a link stands at a path; raises InputError for one that leads out."""
        with self._parent(relative) as (parent, name):
            return stat.S_ISLNK(_mode(parent, name) or 0)

    def stamps(self, suffixes: tuple[str, ...]) -> dict[str, Stamp]:
        """Return (modified ns, size) of the files with one of these endings, by path.

        Links, hidden names and names that are no text are left out.
        """
        found: dict[str, Stamp] = {}
        for inside, names, handle in self._walk():
            for name in sorted(names):
                if (
                    name.lower().endswith(suffixes)
                    and not name.startswith(".")
                    and _is_a_name(name)
                ):
                    with suppress(OSError):
                        info = os.stat(name, dir_fd=handle, follow_symlinks=False)
                        if stat.S_ISREG(info.st_mode):
                            found[(inside / name).as_posix()] = (info.st_mtime_ns, info.st_size)
        return found

    def sweep(self) -> None:
        """Take away the parts that a kill in mid-write has left; nobody holds their lock."""
        for _, names, handle in self._walk():
            for name in filter(PART.match, names):
                with suppress(OSError):
                    _sweep(handle, name)

    def _walk(self) -> Iterator[tuple[PurePosixPath, list[str], int]]:
        """Yield each folder inside with the names of its files and a descriptor of it."""
        with suppress(OSError):  # the folder itself has gone
            for base, folders, names, handle in os.fwalk(self.root, follow_symlinks=False):
                inside = PurePosixPath(Path(base).relative_to(self.root))
                deep = len(inside.parts) + 2 > LISTED_DEPTH
                folders[:] = [] if deep else sorted(
                    f for f in folders if not f.startswith(".") and _is_a_name(f)
                )  # fmt: skip
                yield inside, names, handle


@contextmanager
def named(file: IO[bytes], name: str) -> Iterator[Path]:
    """Yield a path that ends in a name and leads to an open file, whatever happens to its own."""
    with tempfile.TemporaryDirectory(prefix="gripwright-") as private:
        path = Path(private, name)
        path.symlink_to(f"/dev/fd/{file.fileno()}")
        yield path


def refused(relative: str, error: OSError) -> GripwrightError:
    """Return our error for what the system refused at a path inside."""
    name = repr(relative[:80])
    if error.errno in (errno.ELOOP, errno.EMLINK):
        return InputError(
            f"{name} cannot be opened: it is a link or leads through one", field="path",
            remedy="give a plain file inside the opened folder",
        )  # fmt: skip
    if error.errno == errno.ENOENT:
        return InputError(
            f"{name} is not there any more", field="path",
            remedy="see in the folder whether it was renamed or taken away",
        )  # fmt: skip
    reason, remedy = in_words(error)
    kind = MachineError if error.errno in _OF_THE_MACHINE else InputError
    return kind(f"{name} cannot be opened or written: {reason}", field="path", remedy=remedy)


def _is_a_name(part: str) -> bool:
    """Say whether a component is text that JSON can carry, and of a length that disks take."""
    try:
        return len(part.encode("utf-8")) <= 255
    except UnicodeEncodeError:
        return False


def _mode(parent: int, name: str) -> int | None:
    try:
        return os.stat(name, dir_fd=parent, follow_symlinks=False).st_mode
    except FileNotFoundError:
        return None


def _keep_mode(handle: int, parent: int, name: str) -> None:
    """Give a part the permissions of the file that it will replace."""
    mode = _mode(parent, name)
    if mode is not None and stat.S_ISREG(mode):
        os.fchmod(handle, stat.S_IMODE(mode))


def _settle(parent: int, beside: str, name: str, *, fresh: bool) -> None:
    """Put a part in its place; where it must be fresh the system itself refuses a taken name."""
    if not fresh:
        os.rename(beside, name, src_dir_fd=parent, dst_dir_fd=parent)
        return
    try:
        os.link(beside, name, src_dir_fd=parent, dst_dir_fd=parent, follow_symlinks=False)
    except FileExistsError as error:
        raise InputError(
            f"{name!r} is there already", field="path", remedy="choose another name"
        ) from error
    except OSError:  # a disk without hard links
        if _mode(parent, name) is not None:
            raise
        os.rename(beside, name, src_dir_fd=parent, dst_dir_fd=parent)
        return
    os.unlink(beside, dir_fd=parent)


def _sweep(parent: int, name: str) -> None:
    handle = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=parent)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        os.unlink(name, dir_fd=parent)
    finally:
        os.close(handle)
