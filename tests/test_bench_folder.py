"""The opened folder: nothing outside it is read or written."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.bench.folder import Folder
from gripwright.errors import InputError, MachineError


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """Return a folder with one lesson, a secret beside it and links that lead there."""
    inside = tmp_path / "inside"
    (inside / "songs").mkdir(parents=True)
    (inside / "songs" / "one.md").write_text("one", encoding="utf-8")
    (tmp_path / "secret.md").write_text("secret", encoding="utf-8")
    (inside / "leak.md").symlink_to(tmp_path / "secret.md")
    (inside / "out").symlink_to(tmp_path)
    return Folder(inside)


def test_a_lesson_in_a_subfolder_is_read(folder: Folder) -> None:
    """A plain path inside leads to the bytes of the file."""
    assert folder.read("songs/one.md") == b"one"


@pytest.mark.parametrize(
    "path", ["../secret.md", "/etc/passwd", "songs/../../secret.md", "", "a\0b", ".hidden",
             "songs\\one.md", "a/b/c/d/e/f/g/h/i.md", "n" * 300],
)  # fmt: skip
def test_a_path_that_leads_out_is_refused(folder: Folder, path: str) -> None:
    """Every way of writing a path that leaves the folder is refused by name."""
    with pytest.raises(InputError, match="not a path inside"):
        folder.read(path)


@pytest.mark.parametrize("path", ["leak.md", "out/secret.md"])
def test_links_are_refused(folder: Folder, path: str) -> None:
    """A link is refused as a file and as a folder on the way."""
    with pytest.raises(InputError, match="cannot be opened"):
        folder.read(path)
    with pytest.raises(InputError, match="cannot be opened"):
        folder.write("out/new.md", b"x")


def test_links_and_hidden_files_are_not_listed(folder: Folder) -> None:
    """The list of lessons holds regular files only."""
    (folder.root / ".hidden.md").write_text("x", encoding="utf-8")
    assert list(folder.stamps((".md",))) == ["songs/one.md"]


def test_a_failed_write_leaves_the_old_file(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the disk fails before the rename, the old text stands and no part is left."""

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(MachineError, match="disk is full"):
        folder.write("songs/one.md", b"two")
    assert folder.read("songs/one.md") == b"one"
    assert os.listdir(folder.root / "songs") == ["one.md"]


def test_a_device_or_a_huge_file_is_refused(folder: Folder) -> None:
    """Only regular files of a lesson's size are read."""
    os.mkfifo(folder.root / "pipe.md")
    with pytest.raises(InputError, match="no file"):
        folder.read("pipe.md")
    with pytest.raises(InputError, match="larger than"):
        folder.read("songs/one.md", limit=2)


@given(st.text(max_size=40))
def test_no_text_at_all_leads_out(path: str) -> None:
    """Whatever is asked for, the components are names inside or the path is refused."""
    try:
        parts = Folder(Path("x")).parts(path)
    except InputError:
        return
    assert parts
    assert all(part not in ("", ".", "..") and "/" not in part for part in parts)
