"""What all tests share: a skipped test is a failure where CI says so."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from bench_server import Running, running_bench

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

CHROMIUM_ARGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--autoplay-policy=no-user-gesture-required",
    "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
]  # fmt: skip

needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")
needs_poppler = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="poppler's tools are not on this machine"
)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Turn a skipped test into a failure under CI, where everything is installed."""
    report = yield
    if report.skipped and os.environ.get("CI") == "true":
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped; in CI a skipped test is a failure"
    return report


@pytest.fixture(autouse=True)
def _cache_of_its_own(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Keep the build cache of the tests away from the user's."""
    base: Path = tmp_path_factory.getbasetemp() / "cache"
    monkeypatch.setenv("GRIPWRIGHT_CACHE", str(base))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return one headless browser for the module: the system's Chromium."""
    with sync_playwright() as play:
        chosen = play.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGS)
        yield chosen
        chosen.close()


@pytest.fixture(scope="module")
def bench(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """Return a bench that runs for the whole module on the module's own ``folder``."""
    with running_bench(folder, tmp_path_factory.mktemp("cache")) as running:
        yield running


def node_package(name: str) -> Path | None:
    """Return the folder of an npm package that ``make test`` installed, None where it is not."""
    given = os.environ.get("GRIPWRIGHT_NODE")
    base = Path(given) if given else Path(sys.prefix) / "node"
    found = base / "node_modules" / name
    return found if found.is_dir() else None
