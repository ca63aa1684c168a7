"""Chords carried on the bench by mouse, by finger and by keys, in a real browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, CDPSession, Page

from bench_server import Running, until
from conftest import needs_chromium

pytestmark = needs_chromium
CHART = "| C _ G _ | Am | rest | F |"
LESSON = (
    "---\ntitle: One\nkey: C major\n---\n\n```part Verse\n{}\n```\n\n```part Coda\n| Dm |\n```\n"
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that the bench has open."""
    return tmp_path_factory.mktemp("carry")


@pytest.fixture
def page(browser: Browser, bench: Running, folder: Path) -> Iterator[Page]:
    """Return a window on a fresh chart; a page error fails the test."""
    (folder / "one.md").write_text(LESSON.format(CHART), encoding="utf-8")
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    trouble: list[str] = []
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.goto(bench.address)
    page.goto(f"{bench.base}?view=changes&lesson=one.md")
    page.wait_for_selector("#chord-0-3-0")
    yield page
    page.close()
    assert not trouble


def _chart(folder: Path) -> str:
    text = (folder / "one.md").read_text("utf-8")
    return text.split("part Verse\n")[1].split("\n```")[0]


def _until_chart(page: Page, folder: Path, wanted: str) -> None:
    for _ in range(100):
        if _chart(folder) == wanted:
            return
        page.wait_for_timeout(50)
    assert _chart(folder) == wanted


def _point(page: Page, place: str, across: float) -> tuple[float, float]:
    box = page.locator(f"#chord-{place}").bounding_box()
    assert box
    return box["x"] + across * box["width"], box["y"] + box["height"] / 2


def _carry(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(*end, steps=6)


def _focused(page: Page) -> str:
    focused: str = page.evaluate("document.activeElement.id")
    return focused


def test_a_chord_is_carried_to_a_beat_of_another_bar(page: Page, folder: Path) -> None:
    """The mark names the beat, the drop writes it, the chord stays chosen, undo takes it back."""
    _carry(page, _point(page, "0-0-0", 0.3), _point(page, "0-2-0", 0.6))
    assert "Verse, bar 3, beat 3" in page.locator(".carry-ghost").inner_text()
    assert page.locator(".carry-mark").count() == 1
    page.mouse.up()
    _until_chart(page, folder, "| G | Am | rest _ C _ | F |")
    until(page, "document.activeElement.id === 'chord-0-2-1'")
    assert page.locator(".carry-ghost, .carry-mark, .lifted").count() == 0
    page.get_by_role("button", name="Undo").click()
    _until_chart(page, folder, CHART)


def test_a_chord_is_carried_to_another_part(page: Page, folder: Path) -> None:
    """Parts are no borders."""
    _carry(page, _point(page, "0-3-0", 0.3), _point(page, "1-0-0", 0.6))
    page.mouse.up()
    _until_chart(page, folder, "| C _ G _ | Am | rest | rest |")
    assert "| Dm _ F _ |" in (folder / "one.md").read_text("utf-8")


def test_escape_puts_a_carried_chord_back(page: Page, folder: Path) -> None:
    """Nothing is written, and the press counts as no click."""
    _carry(page, _point(page, "0-0-0", 0.3), _point(page, "0-2-0", 0.6))
    page.keyboard.press("Escape")
    assert page.locator(".carry-ghost, .carry-mark, .lifted").count() == 0
    page.mouse.up()
    page.wait_for_timeout(300)
    assert _chart(folder) == CHART


def test_a_chord_let_go_outside_the_chart_stays(page: Page, folder: Path) -> None:
    """The title is no place for a chord."""
    _carry(page, _point(page, "0-0-0", 0.3), (300.0, 100.0))
    assert "stays" in page.locator(".carry-ghost").inner_text()
    page.mouse.up()
    page.wait_for_timeout(300)
    assert _chart(folder) == CHART


def test_an_edge_is_carried_to_a_beat(page: Page, folder: Path) -> None:
    """The right edge of a chord makes it longer and shorter; the next one gives and gets."""
    box = page.locator("#chord-0-0-0 .edge").bounding_box()
    assert box
    edge = (box["x"] + 5, box["y"] + box["height"] / 2)
    _carry(page, edge, _point(page, "0-0-1", 0.5))
    assert "3 beats" in page.locator(".carry-ghost").inner_text()
    page.mouse.up()
    _until_chart(page, folder, "| C _ _ G | Am | rest | F |")


def test_control_leaves_a_copy(page: Page, folder: Path) -> None:
    """Held while letting go, the first chord stays where it was."""
    _carry(page, _point(page, "0-3-0", 0.3), _point(page, "0-2-0", 0.1))
    page.keyboard.down("Control")
    page.mouse.up()
    page.keyboard.up("Control")
    _until_chart(page, folder, "| C _ G _ | Am | F | F |")


def _touch(session: CDPSession, kind: str, *points: tuple[float, float]) -> None:
    told = [{"x": x, "y": y} for x, y in points]
    session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": told})


def test_a_finger_that_rests_on_a_chord_carries_it(page: Page, folder: Path) -> None:
    """Held for a moment, the chord comes along; the page does not scroll away under it."""
    session = page.context.new_cdp_session(page)
    start, end = _point(page, "0-1-0", 0.3), _point(page, "0-2-0", 0.1)
    _touch(session, "touchStart", start)
    page.locator(".carry-ghost").wait_for()
    for step in range(1, 6):
        x, y = (a + (b - a) * step / 5 for a, b in zip(start, end, strict=True))
        _touch(session, "touchMove", (x, y))
    _touch(session, "touchEnd")
    _until_chart(page, folder, "| C _ G _ | rest | Am | F |")


def test_keys_carry_as_far_as_the_mouse(page: Page, folder: Path) -> None:
    """Past a neighbour, by a beat, over a barline, into another part, and as a copy."""
    page.locator("#chord-0-0-0").click()
    page.keyboard.press("Alt+ArrowRight")
    _until_chart(page, folder, "| G _ C _ | Am | rest | F |")
    until(page, "document.activeElement.id === 'chord-0-0-1'")
    page.keyboard.press("Alt+Shift+ArrowLeft")
    _until_chart(page, folder, "| G C _ _ | Am | rest | F |")
    until(page, "document.activeElement.id === 'chord-0-0-1'")
    page.keyboard.press("Alt+ArrowRight")
    _until_chart(page, folder, "| G | C _ Am _ | rest | F |")
    until(page, "document.activeElement.id === 'chord-0-1-0'")
    page.keyboard.press("Control+c")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Control+v")
    _until_chart(page, folder, "| G | C _ Am _ | C | F |")
    page.locator("#chord-0-3-0").click()
    page.keyboard.press("Alt+ArrowRight")
    until(page, "document.activeElement.id === 'chord-1-0-0'")
    assert "| F _ Dm _ |" in (folder / "one.md").read_text("utf-8")
