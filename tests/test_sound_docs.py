"""The examples in docs/sound.md and in the modules of sound and scores are true."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

from gripwright.dsp import media
from gripwright.lesson.perform import ROLL_S, STRUM_S

PAGE = Path(__file__).parents[1] / "docs" / "sound.md"
MODULES = (
    "gripwright.lesson.swing", "gripwright.lesson.lick_sounds", "gripwright.formats.rhythm",
    "gripwright.formats.harmony_xml", "gripwright.formats.midi",
)  # fmt: skip


def test_the_page_runs() -> None:
    """Every snippet gives what stands beneath it."""
    failed, tried = doctest.testfile(str(PAGE), module_relative=False)
    assert failed == 0 < tried


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name: str) -> None:
    """Each module has an example, and it is true."""
    failed, tried = doctest.testmod(importlib.import_module(name))
    assert failed == 0 < tried


def test_the_page_states_the_numbers_in_force() -> None:
    """Milliseconds of strum and roll, and the rates that are read."""
    page = PAGE.read_text(encoding="utf-8")
    assert f"{STRUM_S * 1000:.0f} ms from string" in page and f"roll {ROLL_S * 1000:.0f} ms" in page
    assert f"{media.MIN_RATE // 1000} to {media.MAX_RATE // 1000} kHz" in page
