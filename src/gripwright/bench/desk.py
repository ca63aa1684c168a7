"""The desk: the opened folder, what is open on it, and who may write when.

The file on disk is the truth. A change names the hash of the text that it was made on; if the
file has moved on, the change is refused together with what the file says now, and nothing is
lost on either side.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import count

from gripwright.bench.folder import Folder, Stamp
from gripwright.bench.laid import Sheet
from gripwright.bench.lesson_view import lesson_view
from gripwright.bench.refusals import Conflict
from gripwright.bench.wire.answers import LessonName
from gripwright.bench.wire.lesson import Changed, Inverse, LessonView
from gripwright.errors import GripwrightError, LessonError
from gripwright.lesson.edit import Edit, apply_edit
from gripwright.lesson.model import Lesson
from gripwright.lesson.text import Parsed, lesson_error, parse, text_sha256
from gripwright.neck.tuning import parse_tuning
from gripwright.pack.manifest import MANIFEST

TAKE_SUFFIXES = (".wav", ".flac", ".mp3", ".m4a", ".ogg", ".webm", ".mp4", ".mov", ".mkv")
CAPTION_SUFFIXES = (".vtt",)
PICTURE_SUFFIXES = (".png", ".jpg", ".jpeg")
BESIDE_SUFFIXES = (*TAKE_SUFFIXES, *CAPTION_SUFFIXES, *PICTURE_SUFFIXES)
KEPT = 8  # texts: before and after an edit, in a few windows
_TITLE = re.compile(r"^title:[ \t]*(.+?)[ \t]*$", re.MULTILINE)
Make = Callable[[str, Parsed], Edit]


@dataclass(frozen=True, slots=True)
class Beside:
    """Recordings, captions and pictures in the folder."""

    takes: list[str]
    captions: list[str]
    pictures: list[str]


@dataclass
class Desk:
    """What one run of the bench holds; `lock` keeps writers apart."""

    folder: Folder
    lock: threading.Lock = field(default_factory=threading.Lock)
    _titles: dict[str, tuple[Stamp, str | None]] = field(default_factory=dict)

    def lessons(self) -> list[LessonName]:
        """Return path and title of every lesson in the folder."""
        found = []
        for path, stamp in self.folder.stamps((".md",)).items():
            known = self._titles.get(path)
            if known is None or known[0] != stamp:
                known = self._titles[path] = stamp, self._title(path)
            if known[1] is not None:
                found.append(LessonName(path, known[1]))
        return found

    def _title(self, path: str) -> str | None:
        """Return the title in a lesson's front matter, None where the file is no lesson."""
        try:
            text = self.folder.read(path).decode("utf-8", "replace")
        except GripwrightError:  # too large, or taken away just now
            return None
        if not text.startswith("---"):
            return None
        match = _TITLE.search(text[:4000])
        return match[1] if match else path

    def beside(self) -> Beside:
        """Return the other files that lessons use; what lies in a pack is none of them."""
        stamps = self.folder.stamps((*BESIDE_SUFFIXES, MANIFEST))
        packs = tuple(path.removesuffix(MANIFEST) for path in stamps if _is_manifest(path))
        files = [path for path in stamps if not path.startswith(packs)] if packs else list(stamps)
        kinds = (TAKE_SUFFIXES, CAPTION_SUFFIXES, PICTURE_SUFFIXES)
        return Beside(*([f for f in files if f.lower().endswith(kind)] for kind in kinds))

    def sheet(self, path: str) -> Sheet:
        """Return a lesson as long works are given it; raises LessonError when it is not UTF-8."""
        return Sheet(self.folder, path, self.text(path))

    def text(self, path: str) -> str:
        """Return a lesson's text; raises LessonError when it is not UTF-8."""
        try:
            return self.folder.read(path).decode("utf-8")
        except UnicodeDecodeError as error:
            raise LessonError(
                f"{path}: byte {error.start} is not UTF-8", field="path", at=error.start,
                remedy="save the file as UTF-8",
            ) from error  # fmt: skip

    def read(self, path: str) -> tuple[str, Parsed]:
        """Return the lesson's text and what it says, as the disk holds it just now."""
        text = self.text(path)
        return text, _parsed(text)

    def lesson(self, path: str) -> Lesson:
        """Return the lesson on disk; raises LessonError when there is none."""
        _, parsed = self.read(path)
        return whole(path, parsed)

    def view(self, path: str) -> LessonView:
        """Return what the browser draws of a lesson."""
        return _drawn(path, self.text(path))

    def change(self, path: str, make: Make, base_sha256: str) -> Changed:
        """Apply the edit that ``make(text, parsed)`` returns; answer the lesson and the inverse.

        Raises Conflict when the file no longer is what the change was made on.
        """
        with self.lock:
            text, parsed = self.read(path)
            if parsed.sha256 != base_sha256:
                raise Conflict(path, _drawn(path, text))
            edit = make(text, parsed)
            after = apply_edit(text, edit)
            self.folder.write(path, after.encode("utf-8"))
        inverse = Inverse(edit.start, edit.start + len(edit.text), text[edit.start : edit.end])
        return Changed(lesson=_drawn(path, after), inverse=inverse)

    def create(self, title: str, tuning: str) -> str:
        """Write a new lesson with one part and return its path; raises TuningError."""
        strings = parse_tuning(tuning).text
        clean = " ".join(title.split())[:120] or "Untitled lesson"
        stem = re.sub(r"[^a-z0-9]+", "-", clean.lower()).strip("-")[:60] or "lesson"
        text = (
            f"---\ntitle: {clean}\ntempo: 90\nmetre: 4/4\ntuning: {strings}\nkey: auto\n---\n\n"
            "What this lesson is about.\n\n```part Verse\n| rest | rest | rest | rest |\n```\n"
        )
        with self.lock:
            name = self.free_name(stem, ".md")
            self.folder.write(name, text.encode("utf-8"), fresh=True)
        return name

    def free_name(self, stem: str, suffix: str) -> str:
        """Return a name in the folder that nothing has: ``stem.md``, ``stem-2.md`` and so on."""
        names = (f"{stem}{'' if n == 1 else f'-{n}'}{suffix}" for n in count(1))
        return next(name for name in names if not self.folder.exists(name))

    def sha256(self, path: str) -> str:
        """Return the hash of the text on disk."""
        return text_sha256(self.text(path))


def _is_manifest(path: str) -> bool:
    """Say whether a path is the manifest of a pack in a folder of its own."""
    return path.endswith("/" + MANIFEST)


@lru_cache(maxsize=KEPT)
def _parsed(text: str) -> Parsed:
    """Return what a text says: every window asks several things about the one that is open."""
    return parse(text)


@lru_cache(maxsize=KEPT)
def _drawn(path: str, text: str) -> LessonView:
    return lesson_view(path, text, _parsed(text))


def whole(path: str, parsed: Parsed) -> Lesson:
    """Return the lesson that was read; raises LessonError with its problems when there is none."""
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, path)
    return parsed.lesson
