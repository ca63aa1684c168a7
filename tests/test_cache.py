"""The cache: whole entries or none, shared, bounded."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from gripwright.errors import BuildError
from gripwright.pack.cache import Cache, default_folder
from gripwright.pack.stage import Made

KEY = "ab" + "0" * 62
OTHER = "cd" + "0" * 62


def put(cache: Cache, key: str = KEY, data: bytes = b"sound") -> None:
    """Store one product of a key."""
    with cache.half() as folder:
        (folder / "x.flac").write_bytes(data)
        cache.put(key, (Made("x.flac", "audio", 1.5),), folder)


def test_what_was_put_is_found(tmp_path: Path) -> None:
    """An entry gives back the product, its hash and its size."""
    cache = Cache(tmp_path)
    assert cache.find(KEY) is None
    put(cache)
    (kept,) = cache.find(KEY) or ()
    assert (kept.made.path, kept.made.seconds, kept.bytes) == ("x.flac", 1.5, 5)
    assert kept.place.read_bytes() == b"sound"


def test_a_half_made_entry_is_never_seen(tmp_path: Path) -> None:
    """An error while an entry is made leaves neither entry nor scratch."""
    cache = Cache(tmp_path)
    with pytest.raises(ZeroDivisionError), cache.half() as folder:
        (folder / "x.flac").write_bytes(b"s")
        raise ZeroDivisionError
    assert cache.find(KEY) is None
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("harm", [b"soun", b"sOund", b""])
def test_an_entry_that_was_harmed_is_a_miss(tmp_path: Path, harm: bytes) -> None:
    """A cut-off or changed file does not come out of the cache, and can be made anew."""
    cache = Cache(tmp_path)
    put(cache)
    (kept,) = cache.find(KEY) or ()
    kept.place.write_bytes(harm)
    assert cache.find(KEY) is None
    put(cache)
    assert cache.find(KEY) is not None


def test_two_runs_may_put_the_same_entry(tmp_path: Path) -> None:
    """The later of two equal entries gives way to the first."""
    first, second = Cache(tmp_path), Cache(tmp_path)
    put(first)
    put(second)
    assert first.find(KEY) == second.find(KEY) is not None


def test_what_was_not_used_for_longest_goes_first(tmp_path: Path) -> None:
    """Over its bound the cache drops the entry whose last use is the oldest."""
    cache = Cache(tmp_path, limit_bytes=400)
    put(cache, KEY, b"a" * 150)
    put(cache, OTHER, b"b" * 150)
    for key, when in ((KEY, 1_000), (OTHER, 2_000)):
        os.utime(tmp_path / key[:2] / key, (when, when))
    assert cache.find(KEY)  # used now
    cache.prune()
    assert cache.find(KEY) is not None
    assert cache.find(OTHER) is None


def test_scratch_of_a_dead_run_is_cleaned_and_of_a_live_one_kept(tmp_path: Path) -> None:
    """Pruning removes what a killed run left half made, nothing of a run that goes on."""
    dead = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"],
                          capture_output=True, text=True, check=True)  # fmt: skip
    left = tmp_path / f"half-{dead.stdout.strip()}-abc"
    alive = tmp_path / f"half-{os.getpid()}-abc"
    left.mkdir()
    alive.mkdir()
    Cache(tmp_path).prune()
    assert not left.exists()
    assert alive.exists()


def test_a_cache_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    """A file in the folder's place is told with what to do."""
    (tmp_path / "file").write_text("")
    cache = Cache(tmp_path / "file")
    with pytest.raises(BuildError, match="cannot be written"), cache.half():
        pass


def test_the_folder_follows_the_environment() -> None:
    """Our variable comes first, then XDG's (which must be absolute), then the home folder.

    XDG Base Directory Specification, from memory.
    """
    assert default_folder({"GRIPWRIGHT_CACHE": "/a", "XDG_CACHE_HOME": "/b"}) == Path("/a")
    assert default_folder({"XDG_CACHE_HOME": "/b"}) == Path("/b/gripwright")
    home = Path.home() / ".cache" / "gripwright"
    assert default_folder({"XDG_CACHE_HOME": "b"}) == default_folder({}) == home
