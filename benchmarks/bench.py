"""The bench's speed: first paint, click to name and to sound, typing, the API, memory.

Run on demand: ``python benchmarks/bench.py``. Needs Chromium and playwright. The peer of the
naming API is a bare answer of the same server (``/api/folder``): what the way alone costs.
"""

from __future__ import annotations

import json
import random
import re
import select
import shutil
import socket
import statistics
import sys
import tempfile
import time
from pathlib import Path

import httpx
from playwright.sync_api import Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from bench_server import CHROMIUM_ARGS, Running, running_bench

CHORDS = ("x3243x=Cmaj9", "x02010=Am7", "xx0211=Dm7", "3x345x=G13")
AT_ONCE, ROUNDS = 20, 11
EDITS = 3_600  # an hour of an edit a second
CLICK = """
async (cells) => {
  const named = [], sounded = [];
  const begin = AudioBufferSourceNode.prototype.start;
  let heard = 0;
  AudioBufferSourceNode.prototype.start = function (...at) {
    heard ||= performance.now(); return begin.apply(this, at);
  };
  for (const [string, fret] of cells) {
    const cell = document.querySelector(`.cell[data-string="${string}"][data-fret="${fret}"]`);
    heard = 0;
    const start = performance.now();
    cell.dispatchEvent(new PointerEvent("pointerdown", { bubbles: true, cancelable: true }));
    cell.dispatchEvent(new PointerEvent("pointerup", { bubbles: true }));
    sounded.push(heard - start);
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
    named.push(performance.now() - start);
    await new Promise((done) => setTimeout(done, 30));
  }
  return { named, sounded };
}
"""
TYPE = """
async (count) => {
  const area = document.querySelector("textarea"), times = [];
  const long = [];
  new PerformanceObserver((list) => long.push(...list.getEntries().map((e) => e.duration)))
    .observe({ entryTypes: ["longtask"] });
  area.focus();
  const place = area.value.indexOf("Prose.") + 5;
  area.setSelectionRange(place, place);
  for (let i = 0; i < count; i += 1) {
    const start = performance.now();
    document.execCommand("insertText", false, "e");
    times.push(performance.now() - start);
    await new Promise((done) => setTimeout(done, 60));
  }
  await new Promise((done) => setTimeout(done, 1500));
  return { times, long };
}
"""


def lesson_text(bars: int = 200) -> str:
    """Return a lesson of so many bars with a chord each."""
    cells = " | ".join(CHORDS[bar % len(CHORDS)] for bar in range(bars))
    front = "---\ntitle: Long\ntempo: 90\nkey: C major\n---\n\nProse.\n\n"
    return f"{front}```part Verse\n| {cells} |\n```\n"


def told(name: str, values: list[float], unit: str = "ms") -> None:
    """Print median, 99th percentile and maximum of a measurement."""
    ordered = sorted(values)
    late = ordered[min(len(ordered) - 1, int(0.99 * len(ordered)))]
    print(f"{name:44} {statistics.median(ordered):8.2f} {late:8.2f} {ordered[-1]:8.2f} {unit}")


def first_paint(page: Page, bench: Running) -> list[float]:
    """Return first contentful paint of the 200-chord lesson, several loads."""
    found = []
    for _ in range(5):
        page.goto(f"{bench.base}?view=changes&lesson=long.md")
        page.wait_for_selector(".chart .chord")
        found.append(page.evaluate("performance.now()"))
    return found


def api(bench: Running, token: str, path: str, bodies: list[object]) -> list[float]:
    """Return the times of 20 requests at once, over and over, on 20 connections kept open.

    Plain sockets: a client that works as hard as the server would be measured with it.
    """
    host, port = bench.base.removeprefix("http://").rstrip("/").split(":")
    sockets = [socket.create_connection((host, int(port))) for _ in range(AT_ONCE)]
    head = f"{path} HTTP/1.1\r\nHost: {host}:{port}\r\nx-bench-token: {token}\r\n"
    times: list[float] = []
    for start in range(0, len(bodies), AT_ONCE):
        times += _one_round(sockets, head, bodies[start : start + AT_ONCE])
    for one in sockets:
        one.close()
    return times[AT_ONCE:]


def _one_round(sockets: list[socket.socket], head: str, bodies: list[object]) -> list[float]:
    """Return the times from the first request's leaving to each answer's last byte."""
    asked = []
    for body in bodies:
        data = b"" if body is None else json.dumps(body).encode()
        asked.append(f"{head}Content-Length: {len(data)}\r\n\r\n".encode() + data)
    start = time.perf_counter()
    for one, data in zip(sockets, asked, strict=True):
        one.sendall(data)
    waiting = {one: b"" for one in sockets}
    times = []
    while waiting:
        for one in select.select(list(waiting), [], [], 30)[0]:
            waiting[one] += one.recv(1 << 16)
            if _whole(waiting[one]):
                times.append(1000 * (time.perf_counter() - start))
                del waiting[one]
    return times


def _whole(answer: bytes) -> bool:
    head, _, body = answer.partition(b"\r\n\r\n")
    length = re.search(rb"content-length: (\d+)", head)
    assert head.startswith(b"HTTP/1.1 200"), answer[:400]
    return length is not None and len(body) == int(length[1])


def some_grips(count: int) -> list[object]:
    """Return seeded requests for grips as hands make them, each another one."""
    pick = random.Random(20)
    found: set[str] = set()
    while len(found) < count:
        low = pick.randrange(0, 10)
        frets = [pick.choice((None, 0, *range(low, low + 4))) for _ in range(6)]
        if sum(fret is not None for fret in frets) >= 3:
            found.add("-".join("x" if fret is None else str(fret) for fret in frets))
    return [{"grip": grip} for grip in sorted(found)]


def memory_mb(pid: int) -> float:
    """Return the resident memory of a process in MB (Linux)."""
    pages = int(Path(f"/proc/{pid}/statm").read_text("ascii").split()[1])
    return pages * 4096 / 1e6


def hour_of_edits(bench: Running, token: str) -> tuple[float, float, float]:
    """Return memory before, half-way and after an hour's edits to the long lesson."""
    client = httpx.Client(base_url=bench.base, headers={"x-bench-token": token}, timeout=30)
    sha = client.get("/api/lesson?path=long.md").json()["sha256"]
    levels = [memory_mb(bench.process.pid)]
    for index in range(EDITS):
        args = {
            "part": 0,
            "bar": index % 200,
            "event": 0,
            "writing": CHORDS[(index + 1 + index // 200) % 4],
        }
        body = {"path": "long.md", "base_sha256": sha, "intent": "set_chord", "args": args}
        answer = client.post("/api/intent", json=body)
        answer.raise_for_status()
        sha = answer.json()["lesson"]["sha256"]
        if index + 1 in (EDITS // 2, EDITS):
            levels.append(memory_mb(bench.process.pid))
    return levels[0], levels[1], levels[2]


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch, "folder")
        folder.mkdir()
        (folder / "long.md").write_text(lesson_text(), encoding="utf-8")
        with running_bench(folder, Path(scratch, "cache")) as bench, sync_playwright() as play:
            token = bench.address.split("token=")[1]
            browser = play.chromium.launch(
                executable_path=shutil.which("chromium"), args=CHROMIUM_ARGS
            )
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.goto(bench.address)
            print(f"{'':44} {'median':>8} {'p99':>8} {'max':>8}")
            told("200 chords: opened and drawn", first_paint(page, bench))
            page.goto(f"{bench.base}?view=grip")
            page.wait_for_selector(".neck")
            page.locator('.cell[data-string="6"][data-fret="3"]').click()
            page.wait_for_timeout(1500)
            cells = [[1 + i % 6, 1 + (7 * i) % 8] for i in range(200)]
            clicks = page.evaluate(CLICK, cells)
            told("click to name, painted", clicks["named"])
            told("click to sound, handed to the clock", clicks["sounded"])
            page.goto(f"{bench.base}?view=changes&lesson=long.md")
            page.wait_for_selector("textarea")
            typed = page.evaluate(TYPE, 60)
            told("typing: script a keystroke", typed["times"])
            print(f"{'typing: tasks over 50 ms':44} {len(typed['long']):8d}  longest "
                  f"{max(typed['long'], default=0):.0f} ms")  # fmt: skip
            browser.close()
            new = some_grips(ROUNDS * AT_ONCE)
            told("naming API, 20 at once, new grips", api(bench, token, "POST /api/name", new))
            told("naming API, 20 at once, asked before", api(bench, token, "POST /api/name", new))
            bare: list[object] = [None] * len(new)
            told("peer: folder listing, 20 at once", api(bench, token, "GET /api/folder", bare))
            before, middle, after = hour_of_edits(bench, token)
            print(f"server memory, {EDITS} edits: {before:.0f} MB before, {middle:.0f} half-way, "
                  f"{after:.0f} after")  # fmt: skip


if __name__ == "__main__":
    main()
