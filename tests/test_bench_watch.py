"""What happens on the disk is told to the windows, once and without loss."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from gripwright.bench import stream as stream_module
from gripwright.bench import watch as watch_module
from gripwright.bench.desk import Desk
from gripwright.bench.folder import Folder
from gripwright.bench.stream import Stream
from gripwright.bench.watch import watch
from gripwright.bench.wire.answers import Job
from gripwright.bench.wire.events import FolderChanged, JobChanged
from gripwright.lesson.text import text_sha256

TEXT = "---\ntitle: One\n---\n"


class Window:
    """A window that hears the stream."""

    def __init__(self, stream: Stream) -> None:
        self._lines = stream.listen()

    async def hears(self, kind: str) -> dict[str, Any]:
        """Return the next event of a kind; what comes before it is passed over."""
        async with asyncio.timeout(20):
            while True:
                event: dict[str, Any] = msgspec.json.decode(await anext(self._lines))
                if event["kind"] == kind:
                    return event


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with one lesson."""
    (tmp_path / "one.md").write_text(TEXT, encoding="utf-8")
    return tmp_path


Deed = Callable[[Window, Desk], Awaitable[None]]


def _watched(folder: Path, deed: Deed, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a deed run beside the watch."""
    monkeypatch.setattr(watch_module, "PERIOD_S", 0.02)

    async def run() -> None:
        desk, stream = Desk(Folder(folder)), Stream()
        window = Window(stream)
        await window.hears("hello")
        watching = asyncio.create_task(watch(desk, stream))
        await asyncio.sleep(0.2)
        try:
            await deed(window, desk)
            assert not watching.done()
        finally:
            watching.cancel()

    asyncio.run(run())


def test_a_change_is_told_with_the_hash_of_the_text(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The window hears which text the disk holds now."""

    async def deed(window: Window, desk: Desk) -> None:
        for number in range(5):
            text = f"{TEXT}{number}\n"
            (folder / "one.md").write_text(text, encoding="utf-8")
            while (await window.hears("changed"))["sha256"] != text_sha256(text):
                pass  # an editor empties the file before it fills it

    _watched(folder, deed, monkeypatch)


def test_a_lesson_that_was_away_is_compared_when_it_is_back(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An editor that takes the file away and writes a new one is followed."""

    async def deed(window: Window, desk: Desk) -> None:
        (folder / "one.md").unlink()
        await window.hears("folder")
        (folder / "one.md").write_text(TEXT + "new\n", encoding="utf-8")
        told = await window.hears("changed")
        assert told["path"] == "one.md"

    _watched(folder, deed, monkeypatch)


def test_a_new_lesson_is_told_twice_over(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The list has it, and a window that opened it already learns of its text."""

    async def deed(window: Window, desk: Desk) -> None:
        (folder / "two.md").write_text(TEXT, encoding="utf-8")
        await window.hears("folder")
        assert (await window.hears("changed"))["path"] == "two.md"

    _watched(folder, deed, monkeypatch)


def test_a_folder_that_goes_and_comes_does_not_end_the_watch(
    folder: Path, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A disk that is pulled out is a folder without files until it is back."""

    async def deed(window: Window, desk: Desk) -> None:
        aside = tmp_path_factory.mktemp("aside") / "folder"
        os.rename(folder, aside)
        await window.hears("folder")
        os.rename(aside, folder)
        await window.hears("folder")
        (folder / "one.md").write_text(TEXT + "after\n", encoding="utf-8")
        await window.hears("changed")

    _watched(folder, deed, monkeypatch)


def test_a_text_that_is_none_is_passed_over(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bytes that are no UTF-8 end nothing; the next good text is told."""

    async def deed(window: Window, desk: Desk) -> None:
        (folder / "one.md").write_bytes(b"\xff\xfe\x00")
        await asyncio.sleep(0.2)
        (folder / "one.md").write_text(TEXT + "good\n", encoding="utf-8")
        assert (await window.hears("changed"))["sha256"] == text_sha256(TEXT + "good\n")

    _watched(folder, deed, monkeypatch)


def test_a_window_that_falls_behind_is_told_to_read_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a slow window missed is not held in memory."""
    monkeypatch.setattr(stream_module, "QUEUE_EVENTS", 4)

    async def run() -> None:
        stream = Stream()
        window = Window(stream)
        await window.hears("hello")
        for _ in range(20):
            stream.publish(FolderChanged())
        await window.hears("reload")

    asyncio.run(run())


def test_a_window_that_comes_late_hears_of_the_build() -> None:
    """After a reload the progress of a build, and its end, are still there."""

    async def run() -> None:
        lines = Stream().listen([JobChanged(Job("a build", stage="score"))])
        kinds = [msgspec.json.decode(await anext(lines))["kind"] for _ in range(2)]
        assert kinds == ["hello", "job"]

    asyncio.run(run())
