"""A bench in a process of its own, as a teacher starts it, and a browser to drive it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page


def until(page: Page, expression: str, timeout_s: float = 15.0) -> None:
    """Wait until an expression holds in the page; the page's policy forbids it to poll itself."""
    end = time.monotonic() + timeout_s
    while not page.evaluate(expression):
        shown = page.locator("main").inner_text()[:600] if time.monotonic() > end else ""
        assert time.monotonic() < end, f"never came true: {expression}\n{shown}"
        page.wait_for_timeout(50)


@dataclass
class Running:
    """A running bench: its address without the token, and the address that opens it."""

    base: str
    address: str
    process: subprocess.Popen[str]


@contextmanager
def running_bench(folder: Path, cache: Path, port: int = 0) -> Iterator[Running]:
    """Start ``gripwright bench`` for a folder and stop it in the end."""
    command = [sys.executable, "-m", "gripwright", "bench", str(folder), "--no-browser"]
    environment = {
        **os.environ, "GRIPWRIGHT_CACHE": str(cache), "PYTHONUNBUFFERED": "1",
        "GRIPWRIGHT_SHELF": str(cache / "shelf.sqlite"),
    }  # fmt: skip
    process = subprocess.Popen(
        [*command, "--port", str(port)], stdout=subprocess.PIPE, text=True, env=environment
    )
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        match = re.search(r"(http://\S+?/)#token=\S+", line)
        assert match, f"the bench printed no address: {line!r}"
        yield Running(match[1], match[0], process)
    finally:
        process.send_signal(signal.SIGINT)
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if process.stdout:
            process.stdout.close()
