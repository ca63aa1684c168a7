"""The opened folder: nothing outside it is read or written."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gripwright.bench.folder import Folder, refused
from gripwright.errors import GripwrightError, InputError, MachineError


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


WRITER = """
import sys
from pathlib import Path
from gripwright.bench.folder import Folder, refused
folder, texts = Folder(Path(sys.argv[1])), [bytes([65 + n]) * 400_000 for n in range(4)]
print("writing", flush=True)
for turn in range(1_000_000):
    folder.write("songs/one.md", texts[turn % 4])
"""


def test_a_kill_in_mid_write_leaves_a_whole_file_and_no_part_stays(folder: Folder) -> None:
    """Whenever the bench is killed the file is one of the texts, and the next start sweeps."""
    for pause_s in (0.0, 0.003, 0.008, 0.015, 0.03):
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(folder.root)], stdout=subprocess.PIPE
        )
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(pause_s)
        writer.kill()
        writer.wait()
        writer.stdout.close()
        text = folder.read("songs/one.md")
        assert text == b"one" or (len(text) == 400_000 and len(set(text)) == 1)
    folder.sweep()
    assert os.listdir(folder.root / "songs") == ["one.md"]


def test_a_part_that_is_being_written_is_not_swept(folder: Folder) -> None:
    """Only what nobody holds is taken away, and only what the bench has made."""
    (folder.root / ".mine.part").write_bytes(b"mine")
    (folder.root / ".one.md.0123456789ab.part").write_bytes(b"left by a kill")
    with folder.writing("two.md") as file:
        file.write(b"whole")
        folder.sweep()
    assert folder.read("two.md") == b"whole"
    assert sorted(os.listdir(folder.root)) == [".mine.part", "leak.md", "out", "songs", "two.md"]


def test_a_link_swapped_in_after_opening_changes_nothing(folder: Folder, tmp_path: Path) -> None:
    """What was opened is what is read, by name too, though a link took its place meanwhile."""
    with folder.held("songs/one.md") as path:
        assert path.name == "one.md"
        (folder.root / "songs" / "one.md").unlink()
        (folder.root / "songs" / "one.md").symlink_to(tmp_path / "secret.md")
        assert path.read_bytes() == b"one"
    with pytest.raises(InputError, match="is a link"), folder.held("songs/one.md"):
        pass


def test_a_folder_swapped_for_a_link_is_refused(folder: Folder, tmp_path: Path) -> None:
    """A folder on the way that became a link is refused for reading, writing and listing."""
    (folder.root / "songs" / "one.md").unlink()
    (folder.root / "songs").rmdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "one.md").write_text("secret", encoding="utf-8")
    (folder.root / "songs").symlink_to(tmp_path / "elsewhere")
    for act in (folder.read, folder.exists, lambda path: folder.write(path, b"x")):
        with pytest.raises(InputError, match="cannot be opened"):
            act("songs/one.md")
    assert folder.stamps((".md",)) == {}
    assert (tmp_path / "elsewhere" / "one.md").read_text("utf-8") == "secret"


def test_a_fresh_file_never_takes_the_place_of_another(folder: Folder) -> None:
    """The system itself refuses a name that was taken since anyone looked."""
    with pytest.raises(InputError, match="there already"), folder.writing("n.md", fresh=True) as f:
        f.write(b"mine")
        (folder.root / "n.md").write_bytes(b"theirs")
    assert (folder.root / "n.md").read_bytes() == b"theirs"
    assert not list(folder.root.glob(".*.part"))


def test_a_written_file_keeps_its_permissions(folder: Folder) -> None:
    """A lesson that only its owner may read stays so."""
    place = folder.root / "songs" / "one.md"
    place.chmod(0o600)
    folder.write("songs/one.md", b"two")
    assert place.stat().st_mode & 0o777 == 0o600


def test_names_that_are_no_text_are_left_out(folder: Folder) -> None:
    """A name in another encoding cannot be told to a window and breaks nothing."""
    with open(os.fsencode(folder.root) + b"/caf\xe9.md", "wb") as file:
        file.write(b"---\ntitle: x\n---\n")
    assert list(folder.stamps((".md",))) == ["songs/one.md"]


@pytest.mark.parametrize(
    ("number", "kind", "said"),
    [
        (errno.ENOSPC, MachineError, "disk is full"),
        (errno.EROFS, MachineError, "only be read"),
        (errno.EACCES, MachineError, "no right"),
        (errno.ENOENT, InputError, "not there any more"),
        (errno.EISDIR, InputError, "cannot be opened or written"),
    ],
)
def test_what_the_system_refuses_is_said_with_a_remedy(
    number: int, kind: type[GripwrightError], said: str
) -> None:
    """Each refusal names the path inside the folder, the reason and what to do."""
    error = refused("songs/one.md", OSError(number, os.strerror(number)))
    assert type(error) is kind
    assert said in error.message
    assert "songs/one.md" in error.message
    assert error.remedy
