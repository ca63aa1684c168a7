"""The practice page with the take that it carries: played, slowed, looped, followed."""

from __future__ import annotations

import base64
import json
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from conftest import needs_chromium, node_package
from gripwright.dsp.media import read_audio
from gripwright.dsp.sound_file import write_flac
from gripwright.lesson.unroll import played_events
from gripwright.pack.stage import Job, TakeFacts
from gripwright.pack.stages import practice
from gripwright.screen.take import TakeEvent
from packing import TEXT, lesson_of
from practice_window import opened, state, until

AXE = node_package("axe-core")
RATE, SECONDS = 22_050, 7.0
SONG = TEXT.replace("order: Landing, Open Water, Landing", "order: Landing, Open Water")


def events() -> tuple[TakeEvent, ...]:
    """A take of the song that starts late, hurries, and leaves the second bar out."""
    order = [event.index for event in played_events(lesson_of(SONG)) if event.where.start != 4]
    starts = [1.0, 1.6, 2.2, 2.8, 3.4, 4.0, 4.6, 5.2]
    ends = [*starts[1:], 5.8]
    return tuple(TakeEvent(i, a, b) for i, a, b in zip(order, starts, ends, strict=True))


def page_of(folder: Path, seconds: float = SECONDS) -> str:
    """Return the page that the stage makes of a take that says it lasts so long."""
    time_s = np.arange(round(SECONDS * RATE)) / RATE
    tone = 0.3 * np.sin(2 * np.pi * 330 * time_s)
    write_flac(folder / "take.flac", np.stack([tone, tone], 1), RATE)
    settings = {"left_handed": False, "take": TakeFacts("0" * 64, seconds, events())}
    practice.make(Job(lesson_of(SONG), settings, {"take": folder / "take.flac"}, folder))
    assert not (folder / "take.m4a").exists()
    return (folder / "practice.html").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def html(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The page of a short take."""
    return page_of(tmp_path_factory.mktemp("take"))


@pytest.fixture
def page(browser: Browser, html: str, tmp_path: Path) -> Iterator[Page]:
    """Return the page with its take, opened by its path."""
    with opened(browser, html, tmp_path, "data:font", "blob:") as page:
        yield page


def test_the_page_carries_the_take_once_in_mono(html: str, tmp_path: Path) -> None:
    """As AAC, as long as the take; the policy opens sound of the page's own and no more."""
    found = re.findall(r'id="take">([^<]+)<', html)
    assert len(found) == 1
    (tmp_path / "t.m4a").write_bytes(base64.b64decode(found[0]))
    samples, rate = read_audio(tmp_path / "t.m4a")
    assert samples.shape[1] == 1 and rate == RATE
    assert len(samples) / rate == pytest.approx(SECONDS, abs=0.1)
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', html)
    assert policy and "media-src blob:;" in policy[1] and "unsafe" not in policy[1]
    score = json.loads(re.findall(r'id="score">(.*?)</script>', html, re.DOTALL)[0])
    assert [row["start"] for row in score["take"]] == [event.start_s for event in events()]


def test_a_take_too_long_to_carry_is_left_out_and_told(tmp_path: Path) -> None:
    """Half an hour does not fit; the page says so and has no switch."""
    html = page_of(tmp_path, 1800.0)
    assert 'id="take"' not in html and 'id="taken"' not in html
    assert "The take lasts 30 minutes, longer than the 20 that this page can carry" in html
    assert "media-src" not in html


@needs_chromium
def test_the_grips_follow_the_take(page: Page) -> None:
    """T and space: the take sounds, and what is on the desk is the event of that second."""
    page.keyboard.press("t")
    assert state(page, "sound") == "taken"
    page.keyboard.press(" ")
    until(page, "document.body.dataset.state === 'playing'")
    seen: set[int] = set()
    rows = [(e.start_s, e.end_s, e.index) for e in events()]
    look = "[practice.playing, practice.audio.currentTime, practice.where().event]"
    while True:
        playing, second, event = page.evaluate(look)
        if not playing:
            break
        on = [index for start, end, index in rows if start <= second < end]
        near = [index for start, end, index in rows if start - 0.08 < second < end + 0.08]
        assert event in near or (event == -1 and not on)
        seen.add(event)
    assert seen >= {index for _, _, index in rows[1:-1]}
    assert page.evaluate("practice.bar") == 0


@needs_chromium
@pytest.mark.parametrize("percent", [50, 70])
def test_slower_keeps_the_pitch(page: Page, percent: int) -> None:
    """The browser slows the sound at the same pitch; the slider goes from 50 to 100 %."""
    page.click("#taken")
    page.evaluate(f"practice.setTempo({percent}); practice.play()")
    until(page, "practice.audio.currentTime > 1.1")
    rate, keeps = page.evaluate("[practice.audio.playbackRate, practice.audio.preservesPitch]")
    assert (rate, keeps) == (percent / 100, True)
    page.evaluate("practice.setTempo(20)")
    assert page.evaluate("practice.audio.playbackRate") == 0.5
    slider = page.locator("#tempo")
    assert (slider.get_attribute("min"), slider.get_attribute("max")) == ("50", "100")


@needs_chromium
def test_a_part_goes_round_in_the_take(page: Page) -> None:
    """The second part over and over stays within its seconds of the take."""
    page.keyboard.press("t")
    page.evaluate("practice.goTo(2)")
    page.keyboard.press("p")
    assert state(page, "loop") == "3-3"
    page.evaluate("practice.play()")
    low, high = events()[4].start_s, events()[-1].end_s
    places = []
    while page.evaluate("practice.round") < 2:
        places.append(page.evaluate("practice.audio.currentTime"))
    assert min(places) >= low - 0.06
    assert max(places) < high + 0.5
    page.keyboard.press(" ")
    until(page, "document.body.dataset.state === 'stopped'")  # told with the next frame


@needs_chromium
def test_bars_that_the_take_leaves_out_say_so(page: Page) -> None:
    """By look and by label, while the take is chosen; the plucked notes have them all."""
    bar = page.locator("button[data-bar='1']")
    plain = bar.get_attribute("aria-label")
    page.keyboard.press("t")
    assert bar.get_attribute("aria-label") == f"{plain}, not in the take"
    page.evaluate("practice.setLoop({first: 1, last: 1}); practice.play()")
    until(page, "document.getElementById('loop').textContent.includes('not in the take')")
    until(page, "document.body.dataset.state === 'stopped'")  # told with the next frame
    page.keyboard.press("t")
    assert bar.get_attribute("aria-label") == plain


@needs_chromium
def test_the_switch_keeps_place_and_loop(page: Page) -> None:
    """From the take to the plucked notes and back; count-in and click are the plucked ones'."""
    page.evaluate("practice.goTo(2)")
    page.keyboard.press("[")
    page.keyboard.press("]")
    page.click("#taken")
    assert (state(page, "loop"), page.evaluate("practice.bar")) == ("3-3", 2)
    assert page.locator("#counting").is_disabled() and page.locator("#clicking").is_disabled()
    page.keyboard.press("k")
    assert page.evaluate("practice.clicking") is False
    page.click("#plucked")
    assert state(page, "sound") == "plucked"
    assert page.locator("#taken").get_attribute("aria-pressed") == "false"
    assert page.locator("#counting").is_enabled()


@needs_chromium
def test_a_browser_that_cannot_play_the_take_says_so(page: Page) -> None:
    """Damaged sound leaves the page as it is, with words where one looks."""
    page.evaluate("document.getElementById('take').textContent = btoa('no sound at all')")
    page.click("#taken")
    page.click("#play")
    until(page, "document.getElementById('loop').textContent.includes('cannot play the take')")
    until(page, "document.body.dataset.state === 'stopped'")  # told with the next frame


@needs_chromium
def test_it_fits_a_phone_with_the_switch(page: Page) -> None:
    """Nothing is wider than 390 px; what can be pressed is at least 24 by 24 (WCAG 2.2, 2.5.8)."""
    page.click("#taken")
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    for target in page.locator("button:visible, input:visible, summary").all():
        box = target.bounding_box()
        assert box and box["width"] >= 24 and box["height"] >= 24


@needs_chromium
@pytest.mark.skipif(AXE is None, reason="axe-core is not installed")
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1200])
def test_axe_finds_nothing(
    browser: Browser, html: str, tmp_path: Path, scheme: Any, width: int
) -> None:
    """WCAG 2.2 A and AA rules of axe-core pass with the take chosen, light and dark."""
    place = tmp_path / "practice.html"
    place.write_text(html, encoding="utf-8")
    source = (AXE / "axe.min.js").read_text("utf-8")  # type: ignore[operator]
    context = browser.new_context(color_scheme=scheme, bypass_csp=True)
    page = context.new_page()
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(place.as_uri())
    page.keyboard.press("t")
    page.keyboard.press("?")
    page.evaluate(source)
    rules = "{runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']}"
    found = page.evaluate(f"axe.run(document, {rules}).then((r) => r.violations)")
    assert [(one["id"], [node["target"] for node in one["nodes"]]) for one in found] == []
    context.close()


TSC = node_package("typescript")


@pytest.mark.skipif(TSC is None, reason="typescript is not installed")
def test_the_scripts_of_the_page_are_typed(tmp_path: Path) -> None:
    """`tsc --checkJs` in strict mode finds nothing."""
    scripts = Path(practice.__file__).parents[2] / "screen" / "practice_page"
    options = {
        "checkJs": True, "strict": True, "noEmit": True, "target": "ES2022", "types": [],
        "module": "ES2022", "moduleResolution": "bundler", "lib": ["ES2023", "DOM", "DOM.Iterable"],
    }  # fmt: skip
    config = {"compilerOptions": options, "include": [f"{scripts.as_posix()}/*.js"]}
    (tmp_path / "jsconfig.json").write_text(json.dumps(config))
    command = ["node", str(TSC / "bin/tsc"), "-p", str(tmp_path / "jsconfig.json")]  # type: ignore[operator]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout
