"""The desk: the opened folder, what is open on it, and who may write when.

The file on disk is the truth. A change names the hash of the text that it was made on; if the
file has moved on, the change is refused together with what the file says now, and nothing is
lost on either side.
"""

from __future__ import annotations

import re
import threading
from dataclasses import dataclass, field
from typing import Any

from gripwright.bench.folder import Folder
from gripwright.bench.lesson_view import lesson_view
from gripwright.errors import InputError, LessonError
from gripwright.lesson.edit import Edit, apply_edit
from gripwright.lesson.model import Lesson
from gripwright.lesson.text import Parsed, lesson_error, parse, text_sha256
from gripwright.neck.tuning import parse_tuning

TAKE_SUFFIXES = (".wav", ".flac", ".mp3", ".m4a", ".ogg", ".webm", ".mp4", ".mov", ".mkv")


class Conflict(InputError):
    """Report a change made on a text that is no longer what the file holds."""

    code = "conflict"

    def __init__(self, path: str, lesson: dict[str, Any]) -> None:
        super().__init__(
            f"{path} was changed elsewhere", field="base_sha256",
            remedy="look at it as it is now, then make the change again or leave it",
        )  # fmt: skip
        self.lesson = lesson


@dataclass
class Desk:
    """What one run of the bench holds; `lock` keeps writers apart."""

    folder: Folder
    lock: threading.Lock = field(default_factory=threading.Lock)

    def lessons(self) -> list[dict[str, str]]:
        """Return path and title of every lesson in the folder."""
        found = []
        for path in self.folder.find((".md",)):
            text = self.text(path, strict=False)
            if text.startswith("---"):
                match = re.search(r"^title:[ \t]*(.+?)[ \t]*$", text[:4000], re.MULTILINE)
                found.append({"path": path, "title": match[1] if match else path})
        return found

    def takes(self) -> list[str]:
        """Return the recordings in the folder."""
        return list(self.folder.find(TAKE_SUFFIXES))

    def text(self, path: str, *, strict: bool = True) -> str:
        """Return a lesson's text; raises LessonError when it is not UTF-8."""
        data = self.folder.read(path)
        try:
            return data.decode("utf-8", "strict" if strict else "replace")
        except UnicodeDecodeError as error:
            raise LessonError(
                f"{path}: byte {error.start} is not UTF-8", field="path", at=error.start,
                remedy="save the file as UTF-8",
            ) from error  # fmt: skip

    def read(self, path: str) -> tuple[str, Parsed]:
        """Return the lesson's text and what it says, as the disk holds it just now."""
        text = self.text(path)
        return text, parse(text)

    def lesson(self, path: str) -> Lesson:
        """Return the lesson on disk; raises LessonError when there is none."""
        _, parsed = self.read(path)
        if parsed.lesson is None:
            raise lesson_error(parsed.problems, path)
        return parsed.lesson

    def view(self, path: str) -> dict[str, Any]:
        """Return what the browser draws of a lesson."""
        return lesson_view(path, *self.read(path))

    def change(self, path: str, make: Any, base_sha256: str) -> dict[str, Any]:
        """Apply the edit that ``make(text, parsed)`` returns; answer the lesson and the inverse.

        Raises Conflict when the file no longer is what the change was made on.
        """
        with self.lock:
            text, parsed = self.read(path)
            if parsed.sha256 != base_sha256:
                raise Conflict(path, lesson_view(path, text, parsed))
            edit: Edit = make(text, parsed)
            after = apply_edit(text, edit)
            self.folder.write(path, after.encode("utf-8"))
        inverse = {
            "start": edit.start, "end": edit.start + len(edit.text),
            "text": text[edit.start : edit.end],
        }  # fmt: skip
        return {"lesson": lesson_view(path, after, parse(after)), "inverse": inverse}

    def create(self, title: str, tuning: str) -> str:
        """Write a new lesson with one part and return its path; raises TuningError."""
        strings = parse_tuning(tuning).text
        clean = " ".join(title.split())[:120] or "Untitled lesson"
        stem = re.sub(r"[^a-z0-9]+", "-", clean.lower()).strip("-")[:60] or "lesson"
        taken = set(self.folder.find((".md",)))
        name = next(
            name
            for number in range(1, 1000)
            if (name := f"{stem}{'' if number == 1 else f'-{number}'}.md") not in taken
        )
        text = (
            f"---\ntitle: {clean}\ntempo: 90\nmetre: 4/4\ntuning: {strings}\nkey: auto\n---\n\n"
            "What this lesson is about.\n\n```part Verse\n| rest | rest | rest | rest |\n```\n"
        )
        self.folder.write(name, text.encode("utf-8"), fresh=True)
        return name

    def sha256(self, path: str) -> str:
        """Return the hash of the text on disk."""
        return text_sha256(self.text(path))
