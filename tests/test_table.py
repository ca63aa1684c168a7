"""The naming table: complete, small, and what its script writes."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

from gripwright.harmony.table import cluster_above, ways
from gripwright.theory.quality import quality_of
from gripwright.theory.quality_text import read_quality

ROOT = Path(__file__).parents[1]
TABLE = ROOT / "src" / "gripwright" / "harmony" / "naming.json"


def test_the_table_is_what_its_script_writes() -> None:
    """No hand has been at the file."""
    script = runpy.run_path(str(ROOT / "scripts" / "build_naming_table.py"))
    written = json.loads(TABLE.read_text(encoding="utf-8"))
    assert json.loads(json.dumps(script["build"]())) == written


def test_the_table_is_small_enough_for_a_page() -> None:
    """It ships to the browser."""
    assert TABLE.stat().st_size < 400_000


def test_every_set_has_ways_that_hear_its_notes() -> None:
    """Each way's degrees are the set's notes, the slash bass apart; cheapest come first."""
    for mask in range(1, 4096, 2):
        pcs = {pc for pc in range(12) if mask >> pc & 1}
        found = ways(mask)
        assert [way.cost for way in found] == sorted(way.cost for way in found)
        for way in found:
            heard = {(way.root + pc) % 12 for pc in way.form.degrees}
            assert heard in (pcs, pcs - {0})
            claimed = (*way.form.degrees.values(), *way.form.omits)
            assert way.form.quality == quality_of(claimed) == read_quality(way.form.text)
            assert set(way.form.quality.degrees) == {*way.form.degrees.values(), *way.form.omits}


def test_clusters_are_neither_none_nor_most_of_what_hands_play() -> None:
    """A stack of half steps is a cluster; a triad or a seventh chord never is."""
    assert not ways(0b111) or ways(0b111)[0].cost > cluster_above(3)
    for mask in (0b10010001, 0b10001001, 0b10010010001, 0b100010010001):
        assert ways(mask)[0].cost <= cluster_above(mask.bit_count())
