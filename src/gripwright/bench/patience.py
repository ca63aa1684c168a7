"""HTTP/1.1 with an end to patience: a connection that does not say what it wants is closed.

The server waits for ever for the rest of a request's head; a few hundred such connections would
take every place at the bench. Bodies that stall end in `gripwright.bench.guard`.
"""

from __future__ import annotations

import asyncio

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_WAIT_S = 10.0


class PatientProtocol(H11Protocol):
    """The server's protocol, that closes a connection whose request does not come."""

    _alarm: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Wait on while the head of a request is not whole, and be content when it is."""
        super().data_received(data)
        if self.conn.their_state is h11.IDLE:
            self._wait()
        else:
            self._stop_waiting()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the alarm together with the connection."""
        self._stop_waiting()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._alarm is None:
            self._alarm = self.loop.call_later(HEAD_WAIT_S, self.transport.close)

    def _stop_waiting(self) -> None:
        if self._alarm is not None:
            self._alarm.cancel()
            self._alarm = None
