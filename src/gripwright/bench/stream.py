"""The one stream of events from the bench to its windows.

Events are small JSON objects, one a line (`application/x-ndjson`); a window that falls too far
behind is told to reload rather than held in memory.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterable

import msgspec

from gripwright.bench.wire.events import AnyEvent, Beat, Hello, Reload

QUEUE_EVENTS = 256
HEARTBEAT_S = 15.0


class Stream:
    """Hand each event to every listening window."""

    def __init__(self) -> None:
        self._queues: set[asyncio.Queue[AnyEvent]] = set()
        self._loop: asyncio.AbstractEventLoop | None = None

    def publish(self, event: AnyEvent) -> None:
        """Send an event from the event loop's own thread."""
        for queue in self._queues:
            if queue.full():
                while not queue.empty():
                    queue.get_nowait()
                queue.put_nowait(Reload())
            else:
                queue.put_nowait(event)

    def publish_from_thread(self, event: AnyEvent) -> None:
        """Send an event from a worker thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self.publish, event)

    async def listen(self, first: Iterable[AnyEvent] = ()) -> AsyncIterator[bytes]:
        """Yield lines of JSON for one window, with a heartbeat; ``first`` follow the greeting."""
        self._loop = asyncio.get_running_loop()
        queue: asyncio.Queue[AnyEvent] = asyncio.Queue(QUEUE_EVENTS)
        self._queues.add(queue)
        try:
            yield _line(Hello())
            for event in first:
                yield _line(event)
            while True:
                try:
                    event = await asyncio.wait_for(queue.get(), HEARTBEAT_S)
                except TimeoutError:
                    event = Beat()
                yield _line(event)
        finally:
            self._queues.discard(queue)


def _line(event: AnyEvent) -> bytes:
    return msgspec.json.encode(event) + b"\n"
