"""The bench stopped at any moment: nothing runs on, nothing is half written, the address stays."""

from __future__ import annotations

import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from bench_server import Running, running_bench

DEMO = Path(__file__).parents[1] / "demo" / "lamps-along-the-weir.md"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a lesson that takes a while to build."""
    (tmp_path / "lessons").mkdir()
    shutil.copy(DEMO, tmp_path / "lessons" / "one.md")
    return tmp_path / "lessons"


@pytest.fixture
def bench(folder: Path, tmp_path: Path) -> Iterator[Running]:
    """Return a running bench."""
    with running_bench(folder, tmp_path / "cache") as running:
        yield running


@contextmanager
def _client(bench: Running) -> Iterator[httpx.Client]:
    token = bench.address.split("token=")[1]
    headers = {"x-bench-token": token}
    with httpx.Client(base_url=bench.base, headers=headers, timeout=60) as client:
        yield client


def _family(pid: int) -> set[int]:
    """Return the processes under a process, as Linux lists them."""
    found: set[int] = set()
    for place in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = place.read_text("utf-8").rsplit(")", 1)[1].split()
        except OSError:
            continue
        if int(fields[1]) == pid:
            child = int(place.parent.name)
            found |= {child} | _family(child)
    return found


def _alive(pids: set[int]) -> set[int]:
    """Return those that still run; one that only waits to be counted is dead."""
    alive = set()
    for pid in pids:
        try:
            state = Path(f"/proc/{pid}/stat").read_text("utf-8").rsplit(")", 1)[1].split()[0]
        except OSError:
            continue
        if state != "Z":
            alive.add(pid)
    return alive


def _build_until_it_works(bench: Running) -> set[int]:
    """Begin a build and return the processes at work when its first steps are told."""
    with _client(bench) as client, client.stream("GET", "/api/events") as events:
        lines = events.iter_lines()
        next(lines)
        assert client.post("/api/build", json={"path": "one.md"}).status_code == 200
        for line in lines:
            if '"state":"running"' in line and '"done":0' in line and "starting" not in line:
                return _family(bench.process.pid)
    raise AssertionError("the stream ended")


def _gone(pids: set[int], timeout_s: float = 90.0) -> bool:
    end = time.monotonic() + timeout_s
    while _alive(pids):
        if time.monotonic() > end:
            return False
        time.sleep(0.1)
    return True


needs_proc = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="no /proc here")


@needs_proc
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_a_stop_in_mid_build_ends_the_build_too(
    bench: Running, folder: Path, how: signal.Signals
) -> None:
    """However the bench ends, its workers end with it; no pack is half there."""
    at_work = _build_until_it_works(bench)
    assert at_work
    bench.process.send_signal(how)
    bench.process.wait(60)
    assert _gone(at_work), subprocess.run(["ps", "-ef"], capture_output=True, text=True).stdout
    assert not (folder / "one-pack").exists()
    if how is not signal.SIGKILL:
        assert [path.name for path in folder.iterdir()] == ["one.md"]


def test_the_next_run_has_the_same_address_and_another_token(folder: Path, tmp_path: Path) -> None:
    """A page that stayed open finds the bench again; the old token opens nothing."""
    with running_bench(folder, tmp_path / "cache") as first:
        first.process.kill()
        first.process.wait()
    with running_bench(folder, tmp_path / "cache") as second:
        assert second.base == first.base
        with _client(first) as old:
            answer = old.get("/api/folder")
        assert answer.status_code == 401
        assert "address" in answer.json()["error"]["remedy"]
        with _client(second) as new:
            assert new.get("/api/folder").json()["lessons"][0]["path"] == "one.md"


def test_a_second_bench_on_the_folder_takes_another_port(bench: Running, folder: Path,
                                                         tmp_path: Path) -> None:  # fmt: skip
    """Two benches on one folder serve side by side."""
    with running_bench(folder, tmp_path / "cache") as second:
        assert second.base != bench.base
        with _client(second) as client:
            assert client.get("/api/folder").status_code == 200


def test_what_a_kill_left_is_swept_at_the_next_start(folder: Path, tmp_path: Path) -> None:
    """A part that a kill in mid-write left beside a lesson is gone when the bench has started."""
    (folder / ".one.md.0123456789ab.part").write_bytes(b"half")
    with running_bench(folder, tmp_path / "cache") as running:
        with _client(running) as client:
            assert client.get("/api/folder").status_code == 200
        assert [path.name for path in folder.iterdir()] == ["one.md"]
