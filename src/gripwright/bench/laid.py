"""A lesson laid out for a long work: its text, its timing and other files as they were opened.

A work that reads files by name gets a private folder with these in it and nothing else: what is
put in a file's place in the opened folder meanwhile leads nowhere.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from gripwright.bench.folder import Folder
from gripwright.lesson.timing_file import timing_path


@dataclass(frozen=True, slots=True)
class Sheet:
    """The text of a lesson and its path in the opened folder."""

    folder: Folder
    path: str
    text: str

    @property
    def name(self) -> str:
        """Return the name of its file."""
        return PurePosixPath(self.path).name

    @property
    def timing(self) -> str:
        """Return the path of its timing; raises InputError for a path that leads out."""
        return timing_path(Path(*self.folder.parts(self.path))).as_posix()

    @contextmanager
    def laid(self, *beside: str | None) -> Iterator[tuple[Path, list[Path | None]]]:
        """Yield the file of the lesson in a private folder, and by which paths others are reached.

        Raises InputError for one that leads out or is no file.
        """
        with ExitStack() as held:
            private = Path(held.enter_context(tempfile.TemporaryDirectory(prefix="gripwright-")))
            lesson = private / self.name
            lesson.write_bytes(self.text.encode("utf-8"))
            if self.folder.exists(self.timing):
                timing_path(lesson).write_bytes(self.folder.read(self.timing))
            files = [one and held.enter_context(self.folder.held(one)) for one in beside]
            yield lesson, [one or None for one in files]
