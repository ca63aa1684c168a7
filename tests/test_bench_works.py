"""The long works: they are given what was opened, and ask what the commands ask."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from gripwright.bench import works
from gripwright.bench.desk import Desk
from gripwright.bench.folder import Folder
from gripwright.bench.laid import Sheet
from gripwright.bench.wire.requests import BuildAsked
from gripwright.errors import BuildError, InputError
from gripwright.pack.chosen import Chosen

LESSON = "---\ntitle: One\n---\n\n```part Verse\n| x32010=C | x02210=Am |\n```\n"


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """Return a folder with a lesson, its timing, a take, captions and a picture."""
    for name, content in (("one.md", LESSON), ("one.timing.json", "{}"), ("one.mp4", "film"),
                          ("one.vtt", "WEBVTT\n"), ("desk.png", "picture")):  # fmt: skip
        (tmp_path / name).write_text(content, encoding="utf-8")
    return Folder(tmp_path)


def _silent(stage: str, done: float) -> None:
    """Hear steps and say nothing."""


def test_a_lesson_is_laid_out_as_it_was_opened(folder: Folder) -> None:
    """Text, timing and take are there under their names; what comes in their place is not."""
    with Sheet(folder, "one.md", "the text").laid("one.mp4", None) as (lesson, (take, none)):
        assert take is not None
        (folder.root / "one.mp4").unlink()
        (folder.root / "one.mp4").symlink_to("/etc/passwd")
        assert (lesson.name, lesson.read_text("utf-8")) == ("one.md", "the text")
        assert (lesson.parent / "one.timing.json").read_text("utf-8") == "{}"
        assert (take.name, take.read_bytes(), none) == ("one.mp4", b"film", None)
    assert not lesson.parent.exists()


def test_nothing_is_laid_out_through_a_link(folder: Folder) -> None:
    """A link in the folder is refused here too."""
    (folder.root / "leak.mp4").symlink_to("/etc/passwd")
    with pytest.raises(InputError, match="link"), Sheet(folder, "one.md", "").laid("leak.mp4"):
        pass


def test_a_build_asks_what_the_command_asks(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each choice of the view is an option of the command."""
    asked: list[Any] = []

    def settled(chosen: Chosen, *more: Any) -> Any:
        asked.append(chosen)
        raise BuildError("far enough")

    monkeypatch.setattr(works, "settled", settled)
    for more in ({"background": "navy"}, {"background": "desk.png", "corner": "top-right"}):
        of = BuildAsked("one.md", take="one.mp4", film=False, plate=0.4, **more)  # type: ignore[arg-type]
        with pytest.raises(BuildError, match="far enough"):
            works.build_pack(_silent, Sheet(folder, "one.md", LESSON), of, folder.root / "one-pack")
    first, second = asked
    assert (first.take.name, first.cut, first.film, first.plate_size) == (
        "one.mp4",
        None,
        False,
        0.4,
    )
    assert (first.background, first.corner) == ("#000080", None)
    assert (Path(second.background).name, second.corner) == ("desk.png", "top-right")


def test_a_pack_offers_nothing_to_choose(folder: Folder) -> None:
    """Films, pictures and captions that were built are no takes, pictures or captions."""
    pack = folder.root / "one-pack"
    pack.mkdir()
    for name in ("manifest.json", "overlay.mp4", "grip.png", "chapters.vtt"):
        (pack / name).write_text("{}", encoding="utf-8")
    beside = Desk(folder).beside()
    assert (beside.takes, beside.captions, beside.pictures) == (
        ["one.mp4"], ["one.vtt"], ["desk.png"]
    )  # fmt: skip
