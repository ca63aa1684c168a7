"""The practice page opened from disk on a phone, and what it says of itself."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page


@contextmanager
def opened(browser: Browser, html: str, folder: Path, *inside: str) -> Iterator[Page]:
    """Open a page by its path; errors, and requests that do not start as given, fail the test."""
    place = folder / "practice.html"
    place.write_text(html, encoding="utf-8")
    page = browser.new_page(viewport={"width": 390, "height": 844})
    troubles: list[str] = []
    page.on("console", lambda message: troubles.append(message.text))
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("request", lambda request: troubles.append(request.url[:60]))
    page.goto(place.as_uri())
    assert troubles.pop(0).startswith("file:")
    yield page
    assert [line for line in troubles if not line.startswith(inside)] == []
    page.close()


def until(page: Page, holds: str) -> None:
    """Wait until an expression holds; the page's own policy forbids Playwright's way to wait."""
    end = time.monotonic() + 60
    while not page.evaluate(holds):
        assert time.monotonic() < end, holds
        page.wait_for_timeout(20)


def state(page: Page, name: str) -> str:
    """Return what the page says of itself."""
    return str(page.evaluate(f"document.body.dataset.{name}"))
