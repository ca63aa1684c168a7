"""The whole job on the bench, in a real browser: from an empty folder to an opened pack."""

from __future__ import annotations

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
GRIPS = ("x32010", "x02210", "xx0232", "320003", "x35453", "5x555x", "x57565", "x3243x", "xx3211",
         "022100")  # fmt: skip
CHANGES = ("x32010=C", "x02210=Am", "xx0232=D", "320003=G")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the empty folder that the bench opens."""
    return tmp_path_factory.mktemp("job")


@pytest.fixture(scope="module")
def page(browser: Browser, bench: Running) -> Iterator[Page]:
    """Return one window that does the whole job."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(bench.address)
    yield page
    page.close()


def _text(folder: Path) -> str:
    return (folder / "two-windows.md").read_text("utf-8")


def test_1_ten_grips_by_click_and_by_typing(page: Page) -> None:
    """Each of ten grips is put down and gets a name; every click sounds through the clock."""
    page.wait_for_selector(".neck")
    for index, grip in enumerate(GRIPS):
        if index % 2:
            field = page.get_by_label("Grip, bass side first")
            field.fill(grip)
            field.press("Enter")
        else:
            page.get_by_role("button", name="Clear", exact=True).click()
            for place, sign in enumerate(grip):
                if sign != "x":
                    cell = f'.cell[data-string="{6 - place}"][data-fret="{sign}"]'
                    page.locator(cell).click()
        until(page, f"document.querySelector('.grip-text').value === '{grip}'")
        until(page, "document.querySelector('.reading .symbol') !== null")


def test_1_one_grip_by_keys_and_another_reading_of_it(page: Page) -> None:
    """The arrows and Enter put a grip down; the reading that is chosen gives the notes' degrees."""
    page.get_by_role("button", name="Clear", exact=True).click()
    page.locator(".neck").focus()
    # from string 6 at the nut to fret 3 of string 5, then over the four strings above
    steps = {5: (3, "Right"), 4: (1, "Left"), 3: (0, ""), 2: (1, "Left"), 1: (1, "Left")}
    page.keyboard.press("Home")
    for over, way in steps.values():
        page.keyboard.press("ArrowUp")
        for _ in range(over):
            page.keyboard.press(f"Arrow{way}")
        page.keyboard.press("Enter")
    until(page, "document.querySelector('.grip-text').value === 'x32210'")
    page.wait_for_selector(".other >> nth=1")
    degrees = page.locator(".neck .dot text").all_text_contents()
    page.locator(".other").nth(1).focus()
    page.keyboard.press("Enter")
    until(page, "document.querySelectorAll('.other')[1].getAttribute('aria-pressed') === 'true'")
    assert page.locator(".neck .dot text").all_text_contents() != degrees


def test_2_changes_are_written_and_undone(page: Page, folder: Path) -> None:
    """Four chords fill four bars; an undo and a redo leave the file as it was."""
    page.get_by_role("link", name="Changes").click()
    page.get_by_label("Title of a new lesson").fill("Two Windows")
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector(".chart .chord")
    for bar, word in enumerate(CHANGES):
        page.locator(f"#chord-0-{bar}-0").dblclick()
        page.locator(".chord-writing").fill(word)
        page.keyboard.press("Enter")
        until(page, f"document.querySelector('#chord-0-{bar}-0 .grip-small').innerText !== ''")
    before = _text(folder)
    page.get_by_role("button", name="Undo").click()
    until(page, "document.querySelector('#chord-0-3-0 .symbol') === null")
    page.get_by_role("button", name="Redo").click()
    until(page, "document.querySelector('#chord-0-3-0 .symbol') !== null")
    assert _text(folder) == before


def test_3_the_harmony_is_told(page: Page) -> None:
    """A chosen chord shows its numeral and what it does."""
    until(page, "document.querySelector('#chord-0-3-0 .numeral').innerText !== ''")
    page.locator("#chord-0-3-0").click()
    until(page, "document.querySelector('.harmony strong') !== null")
    assert "G" in page.locator(".harmony strong").inner_text()


def test_3_the_changes_play_and_stop(page: Page) -> None:
    """The chord of the moment is marked while the audio clock runs; the same button stops it."""
    page.get_by_role("button", name="Play", exact=True).click()
    until(page, "document.querySelector('.chord.sounding') !== null")
    page.get_by_role("button", name="Stop", exact=True).click()
    until(page, "document.querySelector('.chord.sounding') === null")


def test_4_an_easier_chain_is_compared_and_taken(page: Page, folder: Path) -> None:
    """The best chain is shown beside what is there, then written into the chart."""
    page.get_by_role("link", name="Arrange").click()
    page.get_by_label("My own grips stay").uncheck()
    page.get_by_role("button", name="Find the best chain").click()
    page.wait_for_selector(".chain tbody tr")
    assert page.locator(".chain tbody tr").count() == 4
    page.get_by_role("button", name="Write these grips into the chart").click()
    page.wait_for_timeout(600)
    parsed = parse(_text(folder))
    assert parsed.lesson is not None
    chords = [bar.chords[0].chord for bar in parsed.lesson.parts[0].bars]
    assert [chord.symbol.text for chord in chords if chord and chord.symbol] == [
        "C", "Am", "D", "G"
    ]  # fmt: skip


def test_5_a_take_is_dropped_in_and_followed(page: Page, folder: Path, tmp_path: Path) -> None:
    """A recording of the lesson is laid under its chart within a tenth of a second."""
    lesson = parse(_text(folder)).lesson
    assert lesson is not None
    tempo = steady(lesson.tempo_bpm, lesson.metre, start_s=1.0)
    write_flac(tmp_path / "take one.flac", render(perform(lesson), lesson.neck, tempo), 44_100)
    page.get_by_role("link", name="Listen").click()
    page.locator("input[type=file]").set_input_files(tmp_path / "take one.flac")
    page.wait_for_selector(".wave")
    page.get_by_role("button", name="Follow the lesson").click()
    page.locator(".events summary").wait_for(timeout=60_000)
    page.locator(".events summary").click()
    starts = [float(n.input_value()) for n in page.locator(".events input").all()]
    expected = [tempo.seconds(4 * bar) for bar in range(4)]  # type: ignore[arg-type]
    assert [abs(a - b) < 0.1 for a, b in zip(starts, expected, strict=True)] == [True] * 4


def test_6_a_chord_of_the_take_is_moved_by_hand(page: Page) -> None:
    """A time typed in the table is kept as set by hand."""
    field = page.locator(".events input").nth(1)
    moved = float(field.input_value()) + 0.07
    field.fill(f"{moved:.2f}")
    field.press("Tab")
    page.get_by_text("set by hand").wait_for()


def test_6_a_boundary_of_the_take_is_dragged(page: Page) -> None:
    """A chord's start follows the pointer on the waveform; Escape puts it back, a drop keeps it."""
    field, wave = page.locator(".events input").nth(2), page.locator(".wave")
    wave.scroll_into_view_if_needed()
    box, start = wave.bounding_box(), float(field.input_value())
    assert box
    seconds = float(page.locator(".tools .small").nth(1).input_value())
    x, y = box["x"] + box["width"] * start / seconds, box["y"] + 100
    for ends_with, moved in (("Escape", 0), ("drop", 1)):
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 20, y, steps=3)
        until(page, f"document.querySelectorAll('.events input')[2].value !== '{start:.2f}'")
        if ends_with == "Escape":
            page.keyboard.press("Escape")
            until(page, f"document.querySelectorAll('.events input')[2].value === '{start:.2f}'")
        page.mouse.up()
        by_hand = "[...document.querySelectorAll('.events tr')].slice(3, 4)"
        until(
            page, f"{by_hand}.filter((row) => row.innerText.includes('by hand')).length === {moved}"
        )


def test_7_a_span_is_slowed_and_heard(page: Page) -> None:
    """What sounds in the first bar names C; the loop at half speed starts without trouble."""
    page.locator(".tools .small").nth(0).fill("1.0")
    page.locator(".tools .small").nth(0).press("Tab")
    page.locator(".tools .small").nth(1).fill("3.0")
    page.locator(".tools .small").nth(1).press("Tab")
    page.get_by_role("button", name="What sounds here").click()
    until(page, "document.querySelector('.told')?.innerText.includes('Sounding here')", 30)
    page.get_by_label("Speed").fill("50")
    page.get_by_role("button", name="Loop").click()
    until(page, "document.querySelector('.listen-view [role=status]').innerText === ''", 30)
    page.get_by_role("button", name="Stop", exact=True).click()
    assert page.locator(".notice.wrong").count() == 0


def test_8_a_finding_stops_the_build_until_it_is_fixed(page: Page, folder: Path) -> None:
    """A label that the notes contradict is listed with its line, and goes when it is put right."""
    text = _text(folder)
    wrong = text.replace("|", "| x32010=F#m |", 1)
    (folder / "two-windows.md").write_text(wrong, encoding="utf-8")
    page.get_by_role("link", name="Publish").click()
    page.locator(".findings .wrong").wait_for()
    page.get_by_role("button", name="Build the pack").click()
    until(page, "document.querySelector('.job')?.innerText.includes('line')", 60)
    (folder / "two-windows.md").write_text(text, encoding="utf-8")
    until(page, "document.querySelector('.findings .wrong') === null")


def test_9_the_pack_is_built_and_opened(page: Page, folder: Path) -> None:
    """The pack appears with its progress, and its practice page opens apart from the bench."""
    page.get_by_role("button", name="Build the pack").click()
    until(page, "document.querySelector('.job')?.innerText.includes('ready')", 180)
    assert (folder / "two-windows-pack" / "manifest.json").is_file()
    with page.expect_popup() as opened:
        page.get_by_role("button", name="practice.html").click()
    view = opened.value
    view.wait_for_load_state()
    assert "/view/" in view.url
    assert view.evaluate("window.origin") == "null"
    view.close()
