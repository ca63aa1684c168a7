"""A bench in a process of its own, as a teacher starts it, and a browser to drive it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

CHROMIUM_ARGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--autoplay-policy=no-user-gesture-required",
    "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
]  # fmt: skip


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
    environment = {**os.environ, "GRIPWRIGHT_CACHE": str(cache), "PYTHONUNBUFFERED": "1"}
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
