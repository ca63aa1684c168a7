"""Long work on the bench: told of, cancelled at any point, and nothing left half done."""

from __future__ import annotations

import asyncio
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from asgi import Client
from gripwright.bench import works
from gripwright.bench.app import make_app
from gripwright.bench.jobs import MOST_AT_ONCE, Doing, Jobs
from gripwright.bench.stream import Stream
from gripwright.bench.wire.events import AnyEvent, JobChanged
from gripwright.errors import InputError, InternalError, LessonError, StoppedError

HOST = "127.0.0.1:8000"
LESSON = "---\ntitle: One\n---\n\n```part Verse\n| x32010=C | x02210=Am |\n```\n"
NAME = "0123456789abcdef"


class Told(Stream):
    """A stream that only remembers what it was told of jobs."""

    def __init__(self) -> None:
        super().__init__()
        self.jobs: list[Any] = []

    def publish_from_thread(self, event: AnyEvent) -> None:
        """Remember the job as it is now."""
        assert isinstance(event, JobChanged)
        self.jobs.append(msgspec.structs.replace(event.job))


@pytest.fixture
def jobs() -> Jobs:
    """Return the jobs of a bench without windows."""
    return Jobs(Told())


def answers(told: Callable[[str, float], None], *given: Any) -> Any:
    """Tell a step and give back what was given."""
    told("halfway", 0.5)
    return given


def sleeps(told: Callable[[str, float], None], *given: Any) -> None:
    """Tell that it has begun, then do nothing for longer than any test."""
    told("asleep", 0.25)
    time.sleep(600)


def fails(told: Callable[[str, float], None]) -> None:
    """Raise what a lesson with a problem raises."""
    raise LessonError("one.md has 1 problem", field="lesson", remedy="mend it", problems=())


def dies(told: Callable[[str, float], None]) -> None:
    """End as a process does that the system kills."""
    os.kill(os.getpid(), signal.SIGKILL)


def _asleep(doing: Doing) -> Doing:
    """Return a job when its work has told that it sleeps."""
    end = time.monotonic() + 30
    while doing.job.stage != "asleep":
        assert time.monotonic() < end
        time.sleep(0.01)
    return doing


def test_a_work_is_done_apart_and_its_steps_are_told(jobs: Jobs) -> None:
    """The result is the function's; the stream hears where it is and that it is done."""
    with jobs.begin("hear", "take.flac") as doing:
        assert doing.work(answers, 1, "two") == (1, "two")
    told = [(job.stage, job.done, job.state) for job in jobs.stream.jobs]  # type: ignore[attr-defined]
    assert ("halfway", 0.5, "running") in told
    assert told[-1][1:] == (1, "done")
    assert not jobs.going


def test_a_cancelled_work_ends_at_once(jobs: Jobs) -> None:
    """What was asked for is refused as stopped, in words; the process is gone."""
    doing = jobs.begin("hear", "take.flac")
    threading.Thread(target=lambda: _asleep(doing).cancel()).start()
    with pytest.raises(StoppedError, match="Cancelled"), doing:
        doing.work(sleeps)
    assert (doing.job.state, doing.job.message) == (
        "stopped",
        "Cancelled. All is as it was before.",
    )
    assert not jobs.going


def test_a_work_cancelled_before_it_begins_does_not_go_on(jobs: Jobs) -> None:
    """Between the asking and the first word of the process a cancel is not lost."""
    doing = jobs.begin("hear", "take.flac")
    doing.cancel()
    with pytest.raises(StoppedError), doing:
        doing.work(sleeps)


def test_a_work_that_fails_fails_with_its_own_error(jobs: Jobs) -> None:
    """What the command would say is said here, with field and remedy."""
    with pytest.raises(LessonError) as caught, jobs.begin("hear", "take.flac") as doing:
        doing.work(fails)
    assert (caught.value.field, caught.value.remedy) == ("lesson", "mend it")
    assert (doing.job.state, doing.job.message) == ("failed", "one.md has 1 problem; mend it")


def test_a_work_whose_process_dies_is_said_to_have_broken_off(jobs: Jobs) -> None:
    """A process that the system kills leaves a message, not a window that waits for ever."""
    with pytest.raises(InternalError, match="broke off"), jobs.begin("hear", "take.flac") as doing:
        doing.work(dies)
    assert doing.job.state == "failed"


def test_only_so_much_goes_on_at_once(jobs: Jobs) -> None:
    """One pack is built at a time, three works at most, and a refusal says what to do."""
    jobs.begin("build", "one.md")
    with pytest.raises(InputError, match="a pack is being built"):
        jobs.begin("build", "two.md")
    for _ in range(MOST_AT_ONCE - 1):
        jobs.begin("hear", "take.flac")
    with pytest.raises(InputError, match="under way") as caught:
        jobs.begin("tunings", "one.md")
    assert "cancel" in str(caught.value.remedy)


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Client:
    """Return a client of a bench whose hearing and following sleep."""
    for name in ("hear_take", "follow_take"):
        monkeypatch.setattr(works, name, sleeps)
    (tmp_path / "one.md").write_text(LESSON, encoding="utf-8")
    (tmp_path / "one.timing.json").write_text("{}", encoding="utf-8")
    (tmp_path / "take.flac").write_bytes(b"sound")
    return Client(make_app(tmp_path, "t", (HOST,)), HOST, **{"x-bench-token": "t"})


def _begun(jobs: Jobs) -> Doing:
    end = time.monotonic() + 30
    while NAME not in jobs.going:
        assert time.monotonic() < end
        time.sleep(0.01)
    return _asleep(jobs.going[NAME])


def test_a_following_is_cancelled_while_the_bench_answers_others(
    client: Client, tmp_path: Path
) -> None:
    """Questions and edits go on meanwhile; the timing from before is not touched."""
    answers: list[Any] = []
    asked = {"path": "take.flac", "lesson": "one.md", "job": NAME}
    asking = threading.Thread(
        target=lambda: answers.append(client.post("/api/sync", json=asked))
    )  # fmt: skip
    asking.start()
    _begun(client.app.state.jobs)  # type: ignore[attr-defined]
    sha = client.get("/api/lesson?path=one.md").json()["sha256"]
    edit = {"path": "one.md", "base_sha256": sha, "start": 0, "end": 0, "text": ""}
    assert client.post("/api/edit", json=edit).status_code == 200
    assert client.post("/api/cancel", json={"id": NAME}).json()["job"]["path"] == "take.flac"
    asking.join(30)
    assert (answers[0].status_code, answers[0].json()["error"]["code"]) == (409, "stopped")
    assert (tmp_path / "one.timing.json").read_text("utf-8") == "{}"


def test_a_window_that_leaves_cancels_what_it_asked_for(client: Client) -> None:
    """Nobody waits for the answer any more: the work ends too."""
    jobs = client.app.state.jobs  # type: ignore[attr-defined]
    body = msgspec.json.encode({"path": "take.flac", "job": NAME})

    async def leave() -> None:
        sent = False

        async def receive() -> Any:
            nonlocal sent
            if not sent:
                sent = True
                return {"type": "http.request", "body": body, "more_body": False}
            await asyncio.to_thread(_begun, jobs)
            return {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            pass

        headers = [(b"host", HOST.encode()), (b"x-bench-token", b"t")]
        scope = {"type": "http", "method": "POST", "path": "/api/hear", "headers": headers,
                 "query_string": b"", "root_path": "", "http_version": "1.1", "scheme": "http",
                 "raw_path": b"/api/hear", "asgi": {"version": "3.0"}}  # fmt: skip
        await asyncio.wait_for(client.app(scope, receive, send), 30)

    asyncio.run(leave())
    assert not jobs.going


KILLED = """
import os, signal, sys, threading
sys.path.insert(0, {tests!r})
import test_bench_jobs as t
from gripwright.bench.jobs import Jobs
if __name__ == "__main__":
    doing = Jobs(t.Told()).begin("hear", "take.flac")
    threading.Thread(target=lambda: doing.work(t.sleeps), daemon=True).start()
    t._asleep(doing)
    print(doing._worker.pid, flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="no /proc here")
def test_a_work_ends_with_a_bench_that_is_killed(tmp_path: Path) -> None:
    """A work that tells nothing for long notices too that nobody is there."""
    script = tmp_path / "killed.py"
    script.write_text(KILLED.format(tests=str(Path(__file__).parent)), encoding="utf-8")
    run = subprocess.run([sys.executable, script], capture_output=True, text=True, timeout=60)
    worker = Path(f"/proc/{int(run.stdout)}/stat")
    end = time.monotonic() + 30
    while worker.exists() and worker.read_text("utf-8").rsplit(")", 1)[1].split()[0] != "Z":
        assert time.monotonic() < end
        time.sleep(0.05)
