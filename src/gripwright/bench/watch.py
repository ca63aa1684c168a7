"""Watch the opened folder: a change made in an editor reaches the windows.

Polls the stamps of the folder's files, which works on every file system; a folder that takes
long to look through is looked at less often, so that watching never takes more than a small
share of one core.
"""

from __future__ import annotations

import asyncio
import time

from gripwright.bench.desk import BESIDE_SUFFIXES, Desk
from gripwright.bench.folder import Stamp
from gripwright.bench.stream import Stream
from gripwright.bench.wire.events import FolderChanged, LessonChanged
from gripwright.errors import GripwrightError

PERIOD_S = 0.5
SHARE = 0.04
Stamps = dict[str, Stamp]


async def watch(desk: Desk, stream: Stream) -> None:
    """Publish ``changed`` for a lesson and ``folder`` for files that come and go, for ever.

    A lesson that was away for a while, as some editors and archives write, is compared with what
    it was before.
    """
    known, took_s = await asyncio.to_thread(_look, desk)
    seen = dict(known)
    while True:
        await asyncio.sleep(max(PERIOD_S, took_s / SHARE))
        now, took_s = await asyncio.to_thread(_look, desk)
        if now.keys() != known.keys():
            stream.publish(FolderChanged())
        for path, stamp in now.items():
            if path.endswith(".md") and seen.get(path) != stamp:
                await _publish_change(desk, stream, path)
        known = now
        seen |= now


def _look(desk: Desk) -> tuple[Stamps, float]:
    """Return the stamps of lessons and what lies beside, and the processor seconds it took."""
    began = time.thread_time()
    return desk.folder.stamps((".md", *BESIDE_SUFFIXES)), time.thread_time() - began


async def _publish_change(desk: Desk, stream: Stream, path: str) -> None:
    try:
        sha256 = await asyncio.to_thread(desk.sha256, path)
    except GripwrightError:
        return
    stream.publish(LessonChanged(path, sha256))
