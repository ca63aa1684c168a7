"""The bench's browser code: types, vendored modules, accessibility."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from bench_server import Running, running_bench
from conftest import needs_chromium, node_package

WEB = Path(__file__).parents[1] / "src" / "gripwright" / "bench" / "web"
DEMO = Path(__file__).parents[1] / "demo" / "lamps-along-the-weir.md"
TSC = node_package("typescript")
AXE = node_package("axe-core")


@pytest.mark.skipif(TSC is None or not shutil.which("node"), reason="typescript is not installed")
def test_the_scripts_pass_the_type_checker() -> None:
    """`tsc --checkJs` in strict mode finds nothing."""
    command = ["node", str(TSC / "bin/tsc"), "-p", str(WEB / "jsconfig.json")]  # type: ignore[operator]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout


def test_vendored_modules_are_the_pinned_ones() -> None:
    """Each vendored module has the hash that the vendoring script wrote down."""
    rows = json.loads((WEB / "vendor/versions.json").read_text("utf-8"))
    assert rows
    for name, row in rows.items():
        assert hashlib.sha256((WEB / "vendor" / name).read_bytes()).hexdigest() == row["sha256"]


def test_no_script_names_anything_outside() -> None:
    """Every import is a relative path, no address is absolute, and no markup is set as text."""
    scripts = list(WEB.rglob("*.js"))
    assert scripts
    for path in scripts:
        text = path.read_text("utf-8")
        names = re.findall(r'(?:^|;)import\b[^;"(]*"([^"]+)"', text, re.MULTILINE)
        assert all(name.startswith(("./", "../")) for name in names), path
        if path.parent.name != "vendor":
            assert not re.search(r"https?://|innerHTML|eval\(|new Function", text), path


def test_modules_stay_small() -> None:
    """A browser module stays under 200 lines."""
    sizes = {path.name: len(path.read_text("utf-8").splitlines()) for path in WEB.rglob("*.js")}
    assert {name: size for name, size in sizes.items() if size > 200} == {}


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """Return a bench with one lesson in its folder."""
    folder = tmp_path_factory.mktemp("axe")
    shutil.copy(DEMO, folder / "one.md")
    with running_bench(folder, tmp_path_factory.mktemp("cache")) as running:
        yield running


@needs_chromium
@pytest.mark.skipif(AXE is None, reason="axe-core is not installed")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_any_view(browser: Browser, bench: Running, scheme: Any) -> None:
    """WCAG 2.2 A and AA rules of axe-core pass on each view, light and dark."""
    rules = "{runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']}"
    source = (AXE / "axe.min.js").read_text("utf-8")  # type: ignore[operator]
    page = browser.new_page(color_scheme=scheme)
    page.goto(bench.address)
    for view in ("grip", "changes", "arrange", "listen", "publish", "shelf"):
        page.goto(f"{bench.base}?view={view}&lesson=one.md&grip=x35453")
        page.wait_for_selector("main section")
        page.wait_for_timeout(400)
        if view == "changes":
            page.locator("#chord-0-0-0").click()
        if view == "grip":
            page.get_by_placeholder("Cmaj7").fill("Dm9")
            page.get_by_role("button", name="Find", exact=True).click()
            page.wait_for_selector(".found .drawing svg")
        if view == "shelf" and page.get_by_text("The shelf is empty").count():
            page.get_by_role("button", name="Put the lesson of this folder on it").click()
        if view == "shelf":
            page.wait_for_selector(".habits")
        page.evaluate("for (const more of document.querySelectorAll('details')) more.open = true")
        page.evaluate(source)
        found = page.evaluate(f"axe.run(document, {rules}).then((r) => r.violations)")
        told = [(f["id"], f["help"], [n["html"][:120] for n in f["nodes"]][:3]) for f in found]
        assert told == [], view
    page.close()
