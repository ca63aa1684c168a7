"""The practice page: opened from disk in a browser, played, slowed, looped, without a network."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from conftest import needs_chromium
from gripwright.dsp.media import read_audio
from gripwright.lesson.perform import perform
from gripwright.lesson.unroll import played_events
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.bank import RATE, make_bank
from gripwright.screen.practice import KEYS, SCRIPTS, practice_page
from packing import TEXT, lesson_of
from practice_window import opened, state, until

SONG = TEXT.replace("tempo: 120", "tempo: 240")


def page_of(text: str, scratch: Path) -> str:
    """Return the practice page of a lesson."""
    lesson = lesson_of(text)
    sounds = perform(lesson)
    bank = make_bank(sounds, lesson.neck, scratch / "bank.flac")
    return practice_page(lesson, sounds, bank, fingers_by_grip(lesson))


def score_of(page: str) -> Any:
    """Return the score that a page carries."""
    found = re.search(r'id="score">(.*?)</script>', page, re.DOTALL)
    assert found
    return json.loads(found[1])


@pytest.fixture(scope="module")
def html(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The page of a short song."""
    return page_of(SONG, tmp_path_factory.mktemp("bank"))


@pytest.fixture
def page(browser: Browser, html: str, tmp_path: Path) -> Iterator[Page]:
    """Return the page, opened by its path."""
    with opened(browser, html, tmp_path, "data:font") as page:
        yield page


def perform_order() -> list[Any]:
    """Return the chord of each event of the song."""
    return [event.event.chord for event in played_events(lesson_of(SONG))]


def test_the_policy_allows_the_one_script_and_style_and_nothing_else(html: str) -> None:
    """The hashes in the policy are those of the page's script and style (W3C, CSP 3)."""
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', html)
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)
    script = re.search(r'<script type="module">(.*?)</script>', html, re.DOTALL)
    assert policy and style and script
    for text, kind in ((script[1], "script-src"), (style[1], "style-src")):
        value = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{kind} 'sha256-{value}';" in policy[1]
    assert policy[1].startswith("default-src 'none';")
    assert "unsafe" not in policy[1]


def test_the_page_is_small_and_points_nowhere(html: str) -> None:
    """Under 3 MB; no address of anything outside but the name of the SVG language."""
    assert len(html.encode()) < 3_000_000
    assert set(re.findall(r"https?://[^\"' <]+", html)) <= {"http://www.w3.org/2000/svg"}
    assert not re.findall(r"localStorage|sessionStorage|indexedDB|document\.cookie|fetch\(", html)


def test_a_title_cannot_break_out(html: str) -> None:
    """The title's angle brackets and ampersand are text everywhere."""
    assert "<Bell>" not in html
    assert "Two Boats &amp; a &lt;Bell&gt;" in html
    assert score_of(html)["title"] == "Two Boats & a <Bell>"


def test_the_bank_has_each_pitch_where_it_says(tmp_path: Path) -> None:
    """At each place of the bank the pitch sounds that the score names, within 20 cents."""
    np = pytest.importorskip("numpy")
    lesson = lesson_of(SONG)
    sounds = perform(lesson)
    bank = make_bank(sounds, lesson.neck, tmp_path / "b.flac")
    assert set(bank.places) == {sound.midi for sound in sounds}
    (tmp_path / "c.flac").write_bytes(bank.flac)
    track, rate = read_audio(tmp_path / "c.flac", mono=True)
    assert rate == RATE
    for midi, (start, _) in bank.places.items():
        piece = track[round((start + 0.05) * rate) : round((start + 0.85) * rate), 0]
        spectrum = np.abs(np.fft.rfft(piece * np.hanning(len(piece)), 1 << 17))
        hz = np.fft.rfftfreq(1 << 17, 1 / rate)
        want = 440 * 2 ** ((midi - 69) / 12)
        near = (hz > want * 0.94) & (hz < want * 1.06)
        assert spectrum[near].max() > 20 * np.median(spectrum)
        found = hz[near][spectrum[near].argmax()]
        assert abs(1200 * np.log2(found / want)) < 20


def test_a_push_belongs_to_the_bar_it_leads_to(html: str) -> None:
    """The pushed chord of bar 3 of the song sounds before its place and is kept with its bar."""
    notes = score_of(html)["notes"]
    pushed = [note for note in notes if note["bar"] == 2 and 9 < note["start"] < 10]
    assert pushed
    assert {note["start"] for note in pushed} == {9.5}


def test_the_listed_keys_are_all_deeds_of_the_script(html: str) -> None:
    """Each key's deed is one that the script knows, and no key is listed twice."""
    assert len({key.key for key in KEYS}) == len(KEYS)
    names = re.search(r"export function deeds.*?\n}\n", _source("keys.js"), re.DOTALL)
    assert names
    for key in KEYS:
        assert re.search(rf'^    "?{key.deed}"?: \(\)', names[0], re.MULTILINE), key.deed


def _source(name: str) -> str:
    assert name in SCRIPTS
    root = Path(__file__).parents[1] / "src" / "gripwright" / "screen" / "practice_page"
    return (root / name).read_text(encoding="utf-8")


@needs_chromium
def test_it_plays_from_the_first_bar_and_stops_at_the_end(page: Page) -> None:
    """Space counts in and plays; the grip on the desk is that of the chord that sounds."""
    assert state(page, "state") == "stopped"
    page.keyboard.press(" ")
    until(page, "document.body.dataset.state === 'counting'")
    until(page, "document.body.dataset.state === 'playing'")
    until(page, "Number(document.body.dataset.event) >= 2")
    event, symbol, label = page.evaluate(
        "[document.body.dataset.event, document.getElementById('symbol').textContent,"
        "document.querySelector('#grip svg')?.getAttribute('aria-label')]"
    )
    chord = perform_order()[int(event)]
    assert symbol == (chord.symbol.pretty if chord else "")
    assert label is None or (chord is not None and chord.grip.text in label)
    until(page, "document.body.dataset.state === 'stopped'")
    log = page.evaluate("practice.log")
    notes = page.evaluate("practice.score.notes")
    assert [one["midi"] for one in log] == [note["midi"] for note in notes]


@needs_chromium
@pytest.mark.parametrize("percent", [40, 120])
def test_another_tempo_keeps_pitch_and_moves_time(page: Page, percent: int) -> None:
    """Every note is set at its place over the tempo; strums keep their spread in seconds."""
    page.evaluate(f"practice.setTempo({percent}); practice.counting = false; practice.play()")
    until(page, "practice.log.length > 12")
    log, notes = page.evaluate("practice.log"), page.evaluate("practice.score.notes")
    quarter = 60 / 240 * 100 / percent
    zero = log[0]["when"]
    for one, note in zip(log, notes, strict=False):
        assert one["midi"] == note["midi"]
        want = zero + note["start"] * quarter + note["late"] - notes[0]["late"]
        assert one["when"] == pytest.approx(want, abs=1e-6)
    assert (
        page.locator("#tempo-text").inner_text() == f"{percent} %, {240 * percent // 100} a minute"
    )


@needs_chromium
def test_a_loop_comes_round_without_a_gap(page: Page) -> None:
    """Bar 2 over and over: the same notes again a bar later, and nothing of other bars."""
    page.keyboard.press("ArrowRight")
    page.keyboard.press("[")
    page.keyboard.press("]")
    assert state(page, "loop") == "2-2"
    page.keyboard.press("c")
    page.keyboard.press(" ")
    until(page, "Number(document.body.dataset.round) >= 2")
    log = page.evaluate("practice.log")
    rounds = [[one for one in log if one["round"] == number] for number in (0, 1)]
    assert len(rounds[0]) == len(rounds[1]) > 4
    for first, again in zip(*rounds, strict=True):
        assert again["midi"] == first["midi"]
        assert again["when"] - first["when"] == pytest.approx(4 * 60 / 240, abs=1e-6)
    page.keyboard.press(" ")
    until(page, "document.body.dataset.state === 'stopped'")


@needs_chromium
def test_a_new_tempo_while_it_plays_neither_drops_nor_doubles_a_note(page: Page) -> None:
    """Whatever is done to the tempo, each note of the song is set once and in order."""
    page.evaluate("practice.counting = false; practice.play()")
    for percent in (60, 117, 80):
        page.wait_for_timeout(400)
        page.evaluate(f"practice.setTempo({percent})")
    until(page, "document.body.dataset.state === 'stopped'")
    log, notes = page.evaluate("practice.log"), page.evaluate("practice.score.notes")
    assert [one["midi"] for one in log] == [note["midi"] for note in notes]
    assert all(a["when"] <= b["when"] + 0.2 for a, b in pairwise(log))


@needs_chromium
def test_a_pushed_chord_is_heard_in_every_round_of_its_loop(page: Page) -> None:
    """The chord that comes early sounds before the bar in each round, the first one too."""
    page.evaluate("practice.goTo(2); practice.setLoop({first: 2, last: 2}); practice.play()")
    until(page, "Number(document.body.dataset.round) >= 2")
    log = page.evaluate("practice.log")
    notes = [n for n in page.evaluate("practice.score.notes") if n["bar"] == 2]
    per_round = len(notes)
    assert per_round
    assert [one["midi"] for one in log[:per_round]] == [note["midi"] for note in notes]
    assert sum(one["midi"] == notes[0]["midi"] for one in log) >= 2


@needs_chromium
def test_every_key_does_what_the_page_says(page: Page) -> None:
    """Bars, tempo, loop, count-in, click and the list of keys answer to their keys."""
    page.keyboard.press("ArrowRight")
    assert page.evaluate("practice.bar") == 1
    page.keyboard.press("Home")
    assert page.evaluate("practice.bar") == 0
    for key, tempo in (("ArrowUp", 105), ("ArrowDown", 100), ("ArrowDown", 95), ("0", 100)):
        page.keyboard.press(key)
        assert state(page, "tempo") == str(tempo)
    page.keyboard.press("p")
    assert state(page, "loop") == "1-2"
    page.keyboard.press("w")
    assert state(page, "loop") == ""
    page.keyboard.press("k")
    page.keyboard.press("c")
    assert page.evaluate("[practice.clicking, practice.counting]") == [True, False]
    page.keyboard.press("?")
    assert page.locator("#keys").get_attribute("open") is not None


@needs_chromium
def test_it_can_be_walked_with_the_tab_key(page: Page) -> None:
    """Tab reaches the buttons, the slider and one bar; space on a button presses that button."""
    reached = []
    for _ in range(10):
        page.keyboard.press("Tab")
        reached.append(page.evaluate(
            "document.activeElement.dataset.deed || document.activeElement.dataset.bar "
            "|| document.activeElement.id"
        ))  # fmt: skip
    assert reached[:3] == ["play", "tempo", "loop-from"]
    assert "0" in reached
    page.focus("#clicking")
    page.keyboard.press(" ")
    assert page.evaluate("[practice.clicking, practice.playing]") == [True, False]


@needs_chromium
def test_it_fits_a_phone_and_has_large_targets(page: Page) -> None:
    """Nothing is wider than 390 px; what can be pressed is at least 24 by 24 (WCAG 2.2, 2.5.8)."""
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    for target in page.locator("button:visible, input:visible, summary").all():
        box = target.bounding_box()
        assert box and box["width"] >= 24 and box["height"] >= 24


@needs_chromium
def test_a_blind_player_is_told_bars_and_grips(page: Page) -> None:
    """Bars say their chords, the desk says the grip in words, and the slider its tempo."""
    bar = page.locator("button[data-bar='1']")
    assert bar.get_attribute("aria-label") == "Landing, bar 2: Cadd9, rest, Cadd9"
    page.keyboard.press("ArrowRight")
    until(page, "document.getElementById('words').textContent.includes('string 5 fret 3')")
    assert page.locator("#tempo").get_attribute("aria-valuetext") == (
        "100 percent, 240 beats a minute"
    )


def test_the_documented_keys_are_those_of_the_page() -> None:
    """The table in docs/pack.md has a row for each key, in the same words."""
    docs = (Path(__file__).parents[1] / "docs" / "pack.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| (.+?) \| (.+?) \|$", docs.split("| key |")[1].split("\n\n")[0], re.M)
    assert rows[1:] == [(key.shown, key.does) for key in KEYS]
