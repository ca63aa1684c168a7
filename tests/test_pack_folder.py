"""The pack folder: swapped in whole, ours or untouched."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from gripwright.errors import BuildError
from gripwright.pack import folder as folders
from gripwright.pack.folder import check_target, staging
from gripwright.pack.manifest import MAKER, Manifest, Product, write_manifest


def lay(folder: Path, text: str) -> None:
    """Lay a pack of one file."""
    (folder / "a.txt").write_text(text)
    product = Product("a.txt", "text", "0" * 64, len(text))
    write_manifest(Manifest(1, MAKER, "0", "A", "a.zip", (product,)), folder)


def build(out: Path, text: str = "new") -> None:
    """Build a pack of one file."""
    with staging(out) as folder:
        lay(folder, text)


def names(folder: Path) -> list[str]:
    """Return what is in a folder."""
    return sorted(path.name for path in folder.iterdir())


def test_a_new_pack_replaces_an_older_one_and_leaves_nothing_beside(tmp_path: Path) -> None:
    """After the swap there is the new pack and no trace of staging."""
    out = tmp_path / "pack"
    build(out, "old")
    build(out, "new")
    assert (out / "a.txt").read_text() == "new"
    assert names(tmp_path) == ["pack"]


@pytest.mark.parametrize("error", [KeyboardInterrupt, RuntimeError])
def test_an_older_pack_stays_whole_when_the_build_breaks_off(
    tmp_path: Path, error: type[BaseException]
) -> None:
    """Whatever ends the block early leaves the older pack as it was."""
    out = tmp_path / "pack"
    build(out, "old")
    with pytest.raises(error), staging(out) as folder:
        (folder / "a.txt").write_text("half")
        raise error
    assert (out / "a.txt").read_text() == "old"
    assert names(tmp_path) == ["pack"]


def test_a_full_disk_is_told_and_leaves_the_older_pack(tmp_path: Path) -> None:
    """An error of the system becomes a BuildError with what to do."""
    out = tmp_path / "pack"
    build(out, "old")
    with pytest.raises(BuildError, match="the disk is full"), staging(out):
        raise OSError(28, "No space left on device")
    assert (out / "a.txt").read_text() == "old"


@pytest.mark.parametrize("manifest", [None, "", "[]", '{"maker": "someone"}'])
def test_a_folder_that_is_not_ours_is_never_touched(tmp_path: Path, manifest: str | None) -> None:
    """A folder with files but without our manifest is refused and stays as it is."""
    out = tmp_path / "thesis"
    out.mkdir()
    (out / "chapter.txt").write_text("years of work")
    if manifest is not None:
        (out / "manifest.json").write_text(manifest)
    before = names(out)
    with pytest.raises(BuildError, match="no pack of Gripwright"):
        check_target(out)
    with pytest.raises(BuildError, match="no pack of Gripwright"):
        build(out)
    assert names(out) == before
    assert names(tmp_path) == ["thesis"]


def test_a_file_in_the_folders_place_is_refused(tmp_path: Path) -> None:
    """A file is not turned into a folder."""
    (tmp_path / "pack").write_text("x")
    with pytest.raises(BuildError, match="is a file"):
        build(tmp_path / "pack")


def test_the_folder_one_stands_in_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pack is not pulled from under the shell that stands in it."""
    build(tmp_path / "pack")
    monkeypatch.chdir(tmp_path / "pack")
    with pytest.raises(BuildError, match="folder you are in"):
        build(Path("."))


def test_files_that_someone_put_into_a_pack_move_along(tmp_path: Path) -> None:
    """Notes of the user survive a rebuild; products that are no longer made do not."""
    out = tmp_path / "pack"
    build(out)
    (out / "notes").mkdir()
    (out / "notes" / "mine.txt").write_text("keep")
    with staging(out) as folder:
        write_manifest(Manifest(1, MAKER, "0", "A", "a.zip", ()), folder)
    assert (out / "notes" / "mine.txt").read_text() == "keep"
    assert not (out / "a.txt").exists()


def test_without_an_exchange_a_kill_between_two_renames_is_put_right(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next run finds the older pack aside and puts it back before anything else."""
    out = tmp_path / "pack"
    build(out, "old")
    monkeypatch.setattr(folders, "_exchange", lambda one, other: False)
    build(out, "newer")
    assert (out / "a.txt").read_text() == "newer"
    out.rename(tmp_path / ".pack.gripwright-older")
    with pytest.raises(RuntimeError), staging(out):
        assert (out / "a.txt").read_text() == "newer"
        raise RuntimeError
    assert names(tmp_path) == ["pack"]


def test_staging_of_a_killed_run_is_cleaned(tmp_path: Path) -> None:
    """A staging folder whose process is gone goes at the next run."""
    child = os.fork() if hasattr(os, "fork") else 0
    if child == 0:
        os._exit(0)
    os.waitpid(child, 0)
    (tmp_path / f".pack.gripwright-{child}-x" / "pack").mkdir(parents=True)
    build(tmp_path / "pack")
    assert names(tmp_path) == ["pack"]


def test_a_pack_is_readable_like_any_folder(tmp_path: Path) -> None:
    """The pack's permissions are those of a folder made the usual way."""
    (tmp_path / "usual").mkdir()
    build(tmp_path / "pack")
    assert (tmp_path / "pack").stat().st_mode == (tmp_path / "usual").stat().st_mode


@pytest.mark.parametrize("where", [".", "..", ""])
def test_the_folder_one_stands_in_is_refused_even_empty(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    """A pack would pull it from under whoever stands in it."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    with pytest.raises(BuildError, match="pull it from under you"):
        check_target(Path(where))


def test_a_file_in_the_path_is_named(tmp_path: Path) -> None:
    """The message names the file that stands where a folder would have to be."""
    (tmp_path / "afile").write_text("")
    with pytest.raises(BuildError, match="afile is a file"):
        check_target(tmp_path / "afile" / "sub")
