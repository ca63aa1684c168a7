"""Long work in the window, proof with a take, and the shelf: by mouse, and by keys alone."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from bench_server import Running, until
from conftest import needs_chromium
from gripwright.dsp.sound_file import write_flac
from gripwright.dsp.strings import render
from gripwright.lesson.perform import perform
from gripwright.lesson.text import parse
from gripwright.timing import steady

pytestmark = needs_chromium
DEMO = Path(__file__).parents[1] / "demo" / "lamps-along-the-weir.md"
LESSON = """---
title: Short Ferry
tempo: 120
key: C major
---

```part Verse
| x32010=C | x02210=Am | xx0232=D | 320003=G |
```
"""
CAPTIONS = "WEBVTT\n\n00:01.000 --> 00:04.000\nWe begin on C minor seven\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with two lessons, captions, and a take of one in which a chord is wrong."""
    folder = tmp_path_factory.mktemp("long")
    shutil.copy(DEMO, folder / "weir.md")
    (folder / "ferry.md").write_text(LESSON, encoding="utf-8")
    (folder / "ferry.vtt").write_text(CAPTIONS, encoding="utf-8")
    played = parse(LESSON.replace("xx0232=D", "xx0231=Dm")).lesson
    assert played is not None
    tempo = steady(played.tempo_bpm, played.metre, start_s=1.0)
    write_flac(folder / "ferry.flac", render(perform(played), played.neck, tempo), 44_100)
    return folder


@pytest.fixture
def page(browser: Browser, bench: Running) -> Iterator[Page]:
    """Return a fresh window; an error in the page fails the test."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    trouble: list[str] = []
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.goto(bench.address)
    page.wait_for_selector(".neck")
    yield page
    page.close()
    assert not trouble


def test_escape_cancels_what_is_waited_for(page: Page, bench: Running) -> None:
    """The line says so and offers a way out; cancelled, all is as before and can be asked again."""
    page.goto(f"{bench.base}?view=arrange&lesson=weir.md")
    page.get_by_role("button", name="Compare tunings").click()
    page.get_by_role("button", name="Cancel").wait_for()
    assert page.get_by_role("button", name="Find the best chain").is_disabled()
    page.keyboard.press("Escape")
    page.get_by_text("Cancelled. All is as it was before.").wait_for()
    assert page.locator(".chain").count() == 0
    page.get_by_role("button", name="Find the best chain").click()
    page.wait_for_selector(".chain tbody tr")
    assert page.locator(".notice.wrong").count() == 0


def test_a_finding_leads_to_its_line_and_its_second(page: Page, bench: Running) -> None:
    """What a take and captions contradict is listed with a place in the text and in the sound."""
    page.goto(f"{bench.base}?view=publish&lesson=ferry.md")
    page.get_by_text("With a take, its published cut, captions").click()
    page.locator(".chosen select").nth(0).select_option("ferry.flac")
    page.locator(".chosen select").nth(2).select_option("ferry.vtt")
    page.get_by_role("button", name="Prove it with these too").click()
    page.get_by_text("says C minor seven").wait_for(timeout=60_000)
    page.get_by_role("button", name="Hear it in the take at 0:05").first.click()
    until(page, "document.activeElement.innerText === 'Loop'")
    start = float(page.locator(".tools .small").nth(0).input_value())
    assert start == pytest.approx(4.5, abs=0.2)  # the third bar, and half a second before it
    page.go_back()
    page.get_by_role("button", name="In doubt line 8").first.click()
    until(page, "document.activeElement.tagName === 'TEXTAREA'")


def test_what_is_chosen_goes_with_the_build_and_stays(page: Page, bench: Running) -> None:
    """Take, cut and look are asked for by name; another window finds the choice again."""
    page.goto(f"{bench.base}?view=publish&lesson=weir.md")
    page.get_by_text("With a take, its published cut, captions").click()
    page.locator(".chosen select").nth(0).select_option("ferry.flac")
    page.get_by_text("Look of the films").click()
    page.locator(".chosen select").nth(3).select_option("#")
    asked: list[object] = []
    page.route("**/api/build", lambda route: (asked.append(route.request.post_data_json),
               route.abort()))  # fmt: skip
    page.get_by_role("button", name="Build the pack").click()
    until(page, "document.querySelector('.notice.wrong') !== null")
    assert asked == [
        {"path": "weir.md", "anyway": False, "take": "ferry.flac", "background": "#1d2433"}
    ]
    page.reload()
    page.get_by_text("With ferry.flac").wait_for()


def test_the_shelf_is_filled_searched_and_left_by_keys(page: Page) -> None:
    """An empty shelf says what to do; what it finds opens the lesson at its line."""
    page.keyboard.press("Alt+6")
    page.get_by_role("heading", name="The shelf is empty").wait_for()
    page.get_by_role("button", name="Put the 2 lessons of this folder on it").press("Enter")
    field = page.get_by_role("searchbox")
    field.fill("xx0232")
    field.press("Enter")
    place = page.get_by_role("button", name="Short Ferry Verse, bar 3")
    place.wait_for()
    assert "find=xx0232" in page.url
    place.press("Enter")
    until(page, "document.activeElement.tagName === 'TEXTAREA'")
    chosen = "document.activeElement.value.slice(...['selectionStart', 'selectionEnd'].map("
    assert "xx0232=D" in page.evaluate(f"{chosen}(edge) => document.activeElement[edge]))")
