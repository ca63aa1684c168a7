"""A small client that calls an ASGI application in the process."""

from __future__ import annotations

import asyncio
from typing import Any

import httpx
from starlette.types import ASGIApp


class Client:
    """Send requests to an application, one at a time."""

    def __init__(self, app: ASGIApp, host: str = "127.0.0.1:8000", **headers: str) -> None:
        self.app = app
        self.base_url = f"http://{host}"
        self.headers = headers

    def request(self, method: str, path: str, **how: Any) -> httpx.Response:
        """Return the answer to one request; ``headers`` add to the client's own."""
        headers = {**self.headers, **how.pop("headers", {})}

        async def call() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app)
            async with httpx.AsyncClient(transport=transport, base_url=self.base_url) as client:
                return await client.request(method, path, headers=headers, **how)

        return asyncio.run(call())

    def get(self, path: str, **how: Any) -> httpx.Response:
        """Send a GET request."""
        return self.request("GET", path, **how)

    def post(self, path: str, **how: Any) -> httpx.Response:
        """Send a POST request."""
        return self.request("POST", path, **how)
