"""What a window says of a lesson is said of the text that it shows, whatever the disk did."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route

from bench_server import Running, until
from conftest import needs_chromium

pytestmark = needs_chromium
RIGHT = "---\ntitle: One\nkey: C major\n---\n\n```part Verse\n| x32010=C | x02210=Am |\n```\n"
WRONG = RIGHT.replace("x32010=C", "x32010=F#m")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that the bench opens."""
    return tmp_path_factory.mktemp("follow")


@pytest.fixture
def page(browser: Browser, bench: Running, folder: Path) -> Iterator[Page]:
    """Return a window that shows the lesson's chart."""
    (folder / "one.md").write_text(RIGHT, encoding="utf-8")
    page = browser.new_page()
    page.goto(bench.address)
    page.goto(f"{bench.base}?view=changes&lesson=one.md")
    page.wait_for_selector(".chart .chord")
    yield page
    page.close()


def test_a_fault_mended_before_the_bench_looked_is_not_shown(page: Page, folder: Path) -> None:
    """The proof meets a fault on disk that is gone when its answer arrives."""

    mended: list[bool] = []

    def in_between(route: Route) -> None:
        (folder / "one.md").write_text(WRONG, encoding="utf-8")
        answer = route.fetch()
        (folder / "one.md").write_text(RIGHT, encoding="utf-8")
        assert any(row["severity"] == "wrong" for row in answer.json()["findings"])
        route.fulfill(response=answer)
        mended.append(True)

    page.route("**/api/proof", in_between, times=1)
    page.get_by_role("link", name="Publish").click()
    while not mended:
        page.wait_for_timeout(50)
    page.wait_for_timeout(300)
    until(page, "document.querySelector('.findings .wrong') === null")


def test_a_proof_brings_its_text_into_the_window(page: Page, folder: Path) -> None:
    """Where no event tells of a change on disk, the answer does, and the window follows."""
    page.route("**/api/events", lambda route: route.abort())
    page.reload()
    page.wait_for_selector(".chart .chord")
    (folder / "one.md").write_text(WRONG, encoding="utf-8")
    page.get_by_role("link", name="Publish").click()
    page.locator(".findings .wrong").wait_for()
    page.get_by_role("link", name="Changes").click()
    until(page, "document.querySelector('textarea').value.includes('F#m')")


def test_a_change_of_ones_own_is_not_taken_for_anothers(page: Page, folder: Path) -> None:
    """The disk tells of a change before its answer is there; what is done next waits its turn."""

    def late(route: Route) -> None:
        answer = route.fetch()
        page.wait_for_timeout(1500)
        route.fulfill(response=answer)

    page.route("**/api/intent", late, times=1)
    page.locator(".chart .chord").first.click()
    page.keyboard.press("b")
    page.keyboard.press("b")
    until(page, "document.querySelectorAll('.bar').length === 4")
    assert (folder / "one.md").read_text("utf-8").count("rest") == 2
    assert page.locator(".quarrel").count() == 0
