"""The bench in a real browser: the whole job by mouse and keys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from bench_server import Running, running_bench, until
from conftest import needs_chromium

pytestmark = needs_chromium
FIRST_IS_C = "document.querySelector('.chord .symbol > [aria-hidden]')?.innerText.startsWith('C')"
DEMO = Path(__file__).parents[1] / "demo" / "lamps-along-the-weir.md"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that the bench of the module has open."""
    return tmp_path_factory.mktemp("bench")


@pytest.fixture
def page(browser: Browser, bench: Running) -> Iterator[Page]:
    """Return a fresh window; any page error or outside request fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
    page = context.new_page()
    trouble: list[str] = []
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("request", lambda r: None if r.url.startswith((bench.base, "blob:", "data:"))
            else trouble.append(f"outside request: {r.url}"))  # fmt: skip
    page.goto(bench.address)
    yield page
    context.close()
    assert not trouble


def _symbol(page: Page) -> str:
    runs = page.locator(".reading .symbol-place [aria-hidden]").all_inner_texts()
    return "".join(runs)


def _go(page: Page, bench: Running, query: str) -> None:
    page.goto(f"{bench.base}?{query}")


def test_the_token_leaves_the_address(page: Page) -> None:
    """The secret of the run is taken out of the address bar at once."""
    page.wait_for_selector(".neck")
    assert "token" not in page.url


def test_a_grip_is_built_by_clicks_and_named(page: Page) -> None:
    """Five clicks on the neck make a major seventh; the address remembers the grip."""
    for string, fret in ((5, 3), (4, 5), (3, 4), (2, 5), (1, 3)):
        page.locator(f'.cell[data-string="{string}"][data-fret="{fret}"]').click()
    until(page, "document.querySelector('.why li')")
    assert _symbol(page) == "Cmaj7"
    assert "grip=x35453" in page.url


def test_a_grip_is_built_by_keys_alone(page: Page) -> None:
    """Arrows, Enter, 0 and x do all that the mouse does."""
    page.locator(".neck").focus()
    for key in ("0", "ArrowUp", "ArrowRight", "ArrowRight", "Enter", "ArrowUp", "Enter"):
        page.keyboard.press(key)
    until(page, "document.querySelector('.grip-text').value === '022xxx'")
    assert _symbol(page).startswith("E")
    page.keyboard.press("x")
    until(page, "document.querySelector('.grip-text').value === '02xxxx'")


def _cell(page: Page, string: int, fret: int) -> tuple[float, float]:
    box = page.locator(f'.cell[data-string="{string}"][data-fret="{fret}"]').bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def _typed(page: Page, grip: str) -> None:
    until(page, f"document.querySelector('.grip-text').value === '{grip}'")


def test_a_dot_is_dragged_along_and_across_the_strings(page: Page, bench: Running) -> None:
    """A dot goes where it is dragged, leaves its string silent, and Escape puts it back."""
    _go(page, bench, "grip=x35453")
    page.mouse.move(*_cell(page, 1, 3))
    page.mouse.down()
    page.mouse.move(*_cell(page, 1, 6), steps=4)
    _typed(page, "x35456")
    page.mouse.up()
    page.mouse.move(*_cell(page, 5, 3))
    page.mouse.down()
    page.mouse.move(*_cell(page, 6, 3), steps=4)
    _typed(page, "3x5456")
    page.keyboard.press("Escape")
    _typed(page, "x35456")
    page.mouse.up()
    page.mouse.click(*_cell(page, 5, 3))
    _typed(page, "xx5456")


def test_a_finger_drags_a_dot_and_else_scrolls(page: Page, bench: Running) -> None:
    """Touched on a dot the neck stays and the dot goes; a tap elsewhere puts one down."""
    _go(page, bench, "grip=x35453")
    session = page.context.new_cdp_session(page)

    def touch(kind: str, *places: tuple[int, int]) -> None:
        points = [dict(zip("xy", _cell(page, *place), strict=True)) for place in places]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", (2, 5))
    for fret in (6, 7, 8):
        touch("touchMove", (2, fret))
    touch("touchEnd")
    _typed(page, "x35483")
    touch("touchStart", (6, 8))
    touch("touchEnd")
    _typed(page, "835483")


def test_a_typed_grip_explains_what_is_wrong(page: Page) -> None:
    """A grip with a place missing offers the x on the thumb side."""
    field = page.get_by_label("Grip, bass side first")
    field.fill("35453")
    field.press("Enter")
    assert "x35453" in page.locator("#typed-problem").inner_text()


def test_another_reading_shows_its_own_degrees(page: Page, bench: Running) -> None:
    """Choosing the second reading changes what the notes are called."""
    _go(page, bench, "grip=x32210")
    page.wait_for_selector(".other >> nth=1")
    before = page.locator(".neck .dot text").all_text_contents()
    page.locator(".other").nth(1).click()
    assert page.locator(".neck .dot text").all_text_contents() != before


def test_left_handed_mirrors_strings_not_text(page: Page, bench: Running) -> None:
    """The nut is on the other side; the numbers stay readable."""
    _go(page, bench, "grip=x35453")
    page.wait_for_selector(".neck .dot")
    right = page.locator(".nut").bounding_box()
    page.get_by_label("Left-handed").check()
    left = page.locator(".nut").bounding_box()
    assert right and left
    assert left["x"] > right["x"] + 500
    assert page.locator(".neck [transform*='scale']").count() == 0


def test_a_lesson_is_started_built_and_undone(page: Page, folder: Path) -> None:
    """From an empty folder to bars with chords, by keys; undo takes each step back."""
    page.get_by_role("link", name="Changes").click()
    page.get_by_label("Title of a new lesson").fill("Two Windows")
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector(".chart .chord")
    page.locator(".chart .chord").first.click()
    page.keyboard.press("Enter")
    page.locator(".chord-writing").fill("x35453=Cmaj7")
    page.keyboard.press("Enter")
    until(page, FIRST_IS_C)
    text = (folder / "two-windows.md").read_text("utf-8")
    assert "x35453=Cmaj7" in text
    page.locator(".chart .chord").first.focus()
    page.keyboard.press("b")
    until(page, "document.querySelectorAll('.bar').length === 5")
    for _ in range(2):
        page.get_by_role("button", name="Undo").click()
        page.wait_for_timeout(200)
    assert "Cmaj7" not in (folder / "two-windows.md").read_text("utf-8")
    page.get_by_role("button", name="Redo").click()
    until(page, FIRST_IS_C)


def test_a_change_on_disk_reaches_the_window(page: Page, bench: Running, folder: Path) -> None:
    """The file is the truth: an edit in another program is drawn without a reload."""
    (folder / "disk.md").write_text(DEMO.read_text("utf-8"), encoding="utf-8")
    _go(page, bench, "view=changes&lesson=disk.md")
    page.wait_for_selector(".chart .chord")
    changed = DEMO.read_text("utf-8").replace("title: Lamps Along the Weir", "title: Elsewhere")
    (folder / "disk.md").write_text(changed, encoding="utf-8")
    until(page, "document.querySelector('h1')?.innerText === 'Elsewhere'")


def test_two_windows_on_one_lesson(
    page: Page, bench: Running, browser: Browser, folder: Path
) -> None:
    """What one window writes, the other shows; neither loses anything."""
    (folder / "both.md").write_text(DEMO.read_text("utf-8"), encoding="utf-8")
    _go(page, bench, "view=changes&lesson=both.md")
    page.wait_for_selector(".chart .chord")
    other = page.context.new_page()
    other.goto(bench.address)
    other.goto(f"{bench.base}?view=changes&lesson=both.md")
    other.wait_for_selector(".chart .chord")
    for window, chord in ((page, "C6"), (other, "F6")):
        window.locator(".chart .chord").nth(0 if window is page else 3).dblclick()
        window.locator(".chord-writing").fill(chord)
        window.keyboard.press("Enter")
    other.wait_for_timeout(400)
    again = other.get_by_role("button", name="Make my change here too")
    if again.count():
        again.click()
    for window in (page, other):
        until(
            window,
            "['C6', 'F6'].every((s) => [...document.querySelectorAll('.chord .symbol')].some((n) =>"
            " [...n.querySelectorAll(':scope > [aria-hidden]')]"
            ".map((run) => run.textContent).join('') === s))",
        )
    text = (folder / "both.md").read_text("utf-8")
    assert "C6" in text
    assert "F6" in text


HOSTILE = """---
title: <script>window.broken = 1</script><img src=x onerror="window.broken = 2">
---
<script>window.broken = 3</script> {}

```part <b>Verse</b>
| C | <img/onerror=alert(1)> |
```
""".format("x" * 10_000)


def test_hostile_text_stays_text(page: Page, bench: Running, folder: Path) -> None:
    """Markup in a lesson is shown as it is written and runs nothing."""
    (folder / "<b>hostile & co.md").write_text(HOSTILE, encoding="utf-8")
    _go(page, bench, "view=changes&lesson=" + "%3Cb%3Ehostile%20%26%20co.md")
    until(page, "document.querySelector('h1')?.innerText.includes('<script>')")
    assert page.evaluate("window.broken") is None
    assert page.locator("main script, main img").count() == 0


def test_the_bench_comes_back_after_a_stop(
    browser: Browser, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """When the server stops the page says so, and nothing on the neck is lost."""
    cache = tmp_path_factory.mktemp("cache2")
    context = browser.new_context()
    page = context.new_page()
    with running_bench(tmp_path, cache) as running:
        page.goto(running.address)
        page.goto(f"{running.base}?grip=x35453")
        page.wait_for_selector(".neck .dot")
    page.get_by_text("The bench has stopped").wait_for(timeout=20_000)
    assert page.locator(".neck .dot").count() == 5
    context.close()


def _tab_to(page: Page, selector: str) -> None:
    """Press Tab until what is wanted has the focus, as one without a mouse does."""
    for _ in range(120):
        if page.evaluate("(wanted) => document.activeElement.matches(wanted)", selector):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"no Tab leads to {selector}")


def test_keys_alone_do_the_job(page: Page, folder: Path) -> None:
    """A lesson is started, written, stretched, undone, arranged and proven without a mouse."""
    page.keyboard.press("Alt+2")
    _tab_to(page, ".folder form input")
    page.keyboard.type("By Keys Alone")
    page.keyboard.press("Enter")
    page.wait_for_selector(".chart .chord")
    _tab_to(page, "button.chord")
    page.keyboard.press("Enter")
    page.keyboard.press("Control+a")
    page.keyboard.type("x32010=C")
    page.keyboard.press("Enter")
    until(page, FIRST_IS_C)
    until(page, "document.activeElement.id === 'chord-0-0-0'")
    page.keyboard.press("i")
    until(page, "document.activeElement.matches('.chord-writing')")
    page.keyboard.type("G7")
    page.keyboard.press("Enter")
    until(page, "document.activeElement.id === 'chord-0-0-1'")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("+")
    text = folder / "by-keys-alone.md"
    until(page, "document.querySelector('textarea').value.includes('x32010=C _ _ G7')")
    page.keyboard.press("Control+z")
    until(page, "!document.querySelector('textarea').value.includes('x32010=C _ _ G7')")
    page.keyboard.press("Alt+3")
    _tab_to(page, ".arrange-view button[type=submit]")
    page.keyboard.press("Enter")
    page.wait_for_selector(".chain tbody tr")
    page.keyboard.press("Alt+5")
    page.wait_for_selector(".publish-view")
    _tab_to(page, ".publish-view .actions button")
    assert "x32010=C" in text.read_text("utf-8")


def test_a_lesson_of_two_hundred_chords_is_written_in(
    page: Page, bench: Running, folder: Path
) -> None:
    """The last chord of a long lesson is reached, changed, and stands in the file."""
    cells = " | ".join(["C", "Am7", "Dm7", "G13"] * 50)
    text = f"---\ntitle: Long\nkey: C major\n---\n\nProse.\n\n```part Verse\n| {cells} |\n```\n"
    (folder / "long.md").write_text(text, encoding="utf-8")
    _go(page, bench, "view=changes&lesson=long.md")
    page.wait_for_selector("#chord-0-199-0")
    page.locator("#chord-0-199-0").dblclick()
    page.locator(".chord-writing").fill("G7(b9)")
    page.keyboard.press("Enter")
    page.locator("textarea").focus()
    page.keyboard.press("Control+Home")
    for _ in range(5):
        page.keyboard.press("ArrowDown")
    page.keyboard.type("More ")
    until(page, "document.querySelector('.saved').innerText === 'Saved'")
    assert (folder / "long.md").read_text("utf-8") == text.replace("G13 |\n", "G7(b9) |\n").replace(
        "Prose", "More Prose"
    )


def _views() -> list[Any]:
    sizes = {"wide": (1280, 900), "phone": (390, 844)}
    return [
        pytest.param(view, scheme, sizes[size], id=f"{view}-{scheme}-{size}")
        for view in ("grip", "changes", "arrange", "listen", "publish")
        for scheme in ("light", "dark")
        for size in sizes
    ]


@pytest.mark.parametrize(("view", "scheme", "size"), _views())
def test_no_view_scrolls_sideways(
    browser: Browser, bench: Running, folder: Path, view: str, scheme: Any, size: tuple[int, int]
) -> None:
    """Each view fits its window, light and dark, from a desk to a 390 px phone."""
    (folder / "fits.md").write_text(DEMO.read_text("utf-8"), encoding="utf-8")
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, color_scheme=scheme
    )
    page = context.new_page()
    page.goto(bench.address)
    page.goto(f"{bench.base}?view={view}&lesson=fits.md&grip=x35453")
    page.wait_for_selector("main section")
    wide = page.evaluate("document.documentElement.scrollWidth")
    context.close()
    assert wide <= size[0]
