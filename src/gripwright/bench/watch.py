"""Watch the opened lessons: a change made in an editor reaches the windows.

Polls the stamps of the folder's lessons, which works on every file system.
"""

from __future__ import annotations

import asyncio

from gripwright.bench.desk import TAKE_SUFFIXES, Desk
from gripwright.bench.stream import Stream
from gripwright.errors import InputError

PERIOD_S = 0.5


async def watch(desk: Desk, stream: Stream) -> None:
    """Publish ``changed`` for a lesson and ``folder`` for files that come and go, for ever."""
    known: dict[str, tuple[int, int] | None] | None = None
    while True:
        now = await asyncio.to_thread(_stamps, desk)
        if known is not None and now != known:
            if now.keys() != known.keys():
                stream.publish({"kind": "folder"})
            for path in now:
                if path.endswith(".md") and path in known and now[path] != known[path]:
                    await _publish_change(desk, stream, path)
        known = now
        await asyncio.sleep(PERIOD_S)


def _stamps(desk: Desk) -> dict[str, tuple[int, int] | None]:
    stamps = {}
    for path in desk.folder.find((".md", *TAKE_SUFFIXES)):
        try:
            stamps[path] = desk.folder.stamp(path)
        except InputError:
            continue
    return stamps


async def _publish_change(desk: Desk, stream: Stream, path: str) -> None:
    try:
        sha256 = await asyncio.to_thread(desk.sha256, path)
    except InputError:
        return
    stream.publish({"kind": "changed", "path": path, "sha256": sha256})
