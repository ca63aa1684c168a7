"""Nothing done on the bench is lost: the server away, started again, the file changed elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from bench_server import Running, running_bench, until
from conftest import needs_chromium

pytestmark = needs_chromium
LESSON = """---
title: One
key: C major
---

First words.

Last words.

```part Verse
| C | G | Am | F |
```
"""
SAVED = "document.querySelector('.saved').innerText === 'Saved'"
AWAY = "document.querySelector('.saved').innerText.startsWith('Not saved')"


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """Return the windows of one teacher; an error in a page fails the test."""
    trouble: list[str] = []
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.on("weberror", lambda error: trouble.append(str(error.error)))
    yield context
    context.close()
    assert not trouble


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with one lesson."""
    (tmp_path / "one.md").write_text(LESSON, encoding="utf-8")
    return tmp_path


def _text(folder: Path) -> str:
    return (folder / "one.md").read_bytes().decode("utf-8")


def _window(context: BrowserContext, bench: Running) -> Page:
    page = context.new_page()
    page.goto(bench.address)
    page.goto(f"{bench.base}?view=changes&lesson=one.md")
    page.wait_for_selector("#chord-0-3-0")
    return page


def _write_chord(page: Page, bar: int, word: str) -> None:
    page.locator(f"#chord-0-{bar}-0").dblclick()
    page.locator(".chord-writing").fill(word)
    page.keyboard.press("Enter")


def _type_after(page: Page, words: str, more: str) -> None:
    area = page.locator("textarea")
    area.evaluate("(a, words) => { a.focus(); const at = a.value.indexOf(words) + words.length;"
                  " a.setSelectionRange(at, at); }", words)  # fmt: skip
    page.keyboard.type(more)


def test_a_bench_stopped_in_mid_edit_and_started_again_loses_nothing(
    context: BrowserContext, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Words and chords wait in the window, say so, and are written when the bench is back."""
    cache = tmp_path_factory.mktemp("kept")
    with running_bench(folder, cache) as first:
        page = _window(context, first)
        _write_chord(page, 0, "Cmaj7")
        until(page, SAVED)
    _write_chord(page, 1, "G7")
    until(page, AWAY)
    _type_after(page, "First words", " and more")
    _write_chord(page, 1, "G13")
    for bar in (2, 3):
        page.locator(f"#chord-0-{bar}-0").click()
        page.keyboard.press("-")
    page.keyboard.press("Delete")
    page.get_by_text("Not kept: a chord less, chord 1 of bar 4").wait_for()
    assert "G13" in page.locator("#chord-0-1-0").inner_text()
    assert page.locator(".away-notice li").count() == 4
    assert "Cmaj7" in _text(folder)
    assert "G7" not in _text(folder)
    with running_bench(folder, cache, port=urlsplit(first.base).port or 0) as second:
        page.get_by_text("started again").wait_for()
        other = context.new_page()
        other.goto(second.address)
        until(page, SAVED)
        until(page, "document.querySelector('.away-notice') === null")
        assert _text(folder) == LESSON.replace(
            "| C | G | Am | F |", "| Cmaj7 | G13 | Am _ _ rest | F _ _ rest |"
        ).replace("First words", "First words and more")
        page.get_by_role("button", name="Undo").click()
        until(page, "document.querySelector('textarea').value.includes('First words.')")


def test_what_waits_survives_a_reload_by_the_new_address(
    context: BrowserContext, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The printed address opened in the same window writes what that window kept."""
    cache = tmp_path_factory.mktemp("kept")
    with running_bench(folder, cache) as first:
        page = _window(context, first)
    _write_chord(page, 2, "Am9")
    _type_after(page, "Last words", " too")
    until(page, "document.querySelectorAll('.away-notice li').length === 2")
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    with running_bench(folder, cache, port=urlsplit(first.base).port or 0) as second:
        page.goto(second.address)
        page.get_by_text("the 2 changes that were kept are written").wait_for()
        page.goto(f"{second.base}?view=changes&lesson=one.md")
        page.wait_for_selector("#chord-0-3-0")
        until(page, SAVED)
        assert _text(folder) == LESSON.replace("Am |", "Am9 |").replace(
            "Last words", "Last words too"
        )
    assert asked == ["beforeunload"]


def test_a_file_changed_while_the_bench_was_away_offers_both(
    context: BrowserContext, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """What was meant of a chord is asked about; words in another place join by themselves."""
    cache = tmp_path_factory.mktemp("kept")
    with running_bench(folder, cache) as first:
        page = _window(context, first)
    _write_chord(page, 1, "G7")
    _type_after(page, "Last words", " too")
    until(page, "document.querySelectorAll('.away-notice li').length === 2")
    elsewhere = LESSON.replace("First", "The very first").replace("| C |", "| C6 |")
    (folder / "one.md").write_text(elsewhere, encoding="utf-8")
    with running_bench(folder, cache, port=urlsplit(first.base).port or 0) as second:
        context.new_page().goto(second.address)
        page.get_by_text("Changed elsewhere.").wait_for()
        assert "G7" in page.locator(".quarrel").inner_text()
        until(page, SAVED)
        assert _text(folder) == elsewhere.replace("Last words", "Last words too")
        page.get_by_role("button", name="Make my change here too").click()
        until(page, "document.querySelector('.quarrel') === null")
        assert "| C6 | G7 |" in _text(folder)


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, Running]]:
    """Return a folder and a bench that stays."""
    folder = tmp_path_factory.mktemp("shared")
    with running_bench(folder, tmp_path_factory.mktemp("cache")) as running:
        yield folder, running


@pytest.fixture
def two(context: BrowserContext, shared: tuple[Path, Running]) -> tuple[Page, Page]:
    """Return two windows on one lesson."""
    (shared[0] / "one.md").write_text(LESSON, encoding="utf-8")
    return _window(context, shared[1]), _window(context, shared[1])


def test_words_typed_in_two_windows_at_once_are_all_kept(
    two: tuple[Page, Page], shared: tuple[Path, Running]
) -> None:
    """Typing goes on while the other window's words arrive; the caret stays with its words."""
    for step in range(4):
        _type_after(two[0], f"First words{'a' * step}", "a")
        _type_after(two[1], f"Last words{'b' * step}", "b")
    for page in two:
        until(page, "document.querySelector('textarea').value.includes('First wordsaaaa.')")
        until(page, "document.querySelector('textarea').value.includes('Last wordsbbbb.')")
        until(page, SAVED)
    assert _text(shared[0]) == LESSON.replace("First words", "First wordsaaaa").replace(
        "Last words", "Last wordsbbbb"
    )


def test_the_same_words_changed_twice_are_offered_both(
    two: tuple[Page, Page], shared: tuple[Path, Running]
) -> None:
    """Neither writes over the other: both are shown, and the teacher chooses."""
    folder = shared[0]
    _type_after(two[0], "Fi", "ne and fi")
    theirs = LESSON.replace("First words", "Primary words")
    (folder / "one.md").write_text(theirs, encoding="utf-8")
    quarrel = two[0].locator(".quarrel")
    quarrel.wait_for()
    assert _text(folder) == theirs
    assert "Fine and first" in quarrel.inner_text()
    assert "Primary" in quarrel.inner_text()
    quarrel.get_by_role("button", name="Put mine in its place").click()
    until(two[0], "document.querySelector('.quarrel') === null")
    assert "Fine and first words." in _text(folder)
    two[0].get_by_role("button", name="Undo").click()
    until(two[0], "document.querySelector('textarea').value.includes('Primary words.')")
    assert _text(folder) == theirs


def test_undo_takes_back_the_own_change_only(
    two: tuple[Page, Page], shared: tuple[Path, Running]
) -> None:
    """What another window wrote meanwhile, before the place, stays."""
    _write_chord(two[0], 2, "Am9")
    until(two[1], "document.querySelector('textarea').value.includes('Am9')")
    _type_after(two[1], "First words", " here")
    until(two[0], "document.querySelector('textarea').value.includes('words here')")
    two[0].get_by_role("link", name="Publish").click()
    two[0].get_by_role("link", name="Changes").click()
    two[0].get_by_role("button", name="Undo").click()
    until(two[0], "!document.querySelector('textarea').value.includes('Am9')")
    assert _text(shared[0]) == LESSON.replace("First words", "First words here")


def test_line_ends_of_the_file_stay_as_they_are(
    context: BrowserContext, shared: tuple[Path, Running]
) -> None:
    """A browser's field knows one kind of line end; the file keeps its own."""
    folder, bench = shared
    (folder / "one.md").write_bytes(LESSON.replace("\n", "\r\n").encode())
    page = _window(context, bench)
    _type_after(page, "Last words", "\nin two 𝄞 lines")
    until(page, SAVED)
    wanted = LESSON.replace("Last words", "Last words\nin two 𝄞 lines").replace("\n", "\r\n")
    assert _text(folder) == wanted
