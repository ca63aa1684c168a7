"""docs/hand.md says what the code does."""

from __future__ import annotations

import math
import re
from pathlib import Path

from gripwright.neck.geometry import HANDS, MEDIUM, SLACK
from gripwright.theory.interval import degrees
from gripwright.voicing import arrange, change
from gripwright.voicing.levels import LEVELS
from gripwright.voicing.limits import DEFAULT_FRETS, DEFAULT_SPAN, MOST_REACH
from gripwright.voicing.rules import MAY_LEAVE_OUT

PAGE = (Path(__file__).parents[1] / "docs" / "hand.md").read_text(encoding="utf-8")


def rows(heading: str) -> list[list[str]]:
    """Return the cells of the table under a heading."""
    table = PAGE.split(heading, 1)[1].split("\n\n## ", 1)[0]
    lines = [line.strip("| ").split(" | ") for line in table.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line] for line in lines[2:]]


def test_the_table_of_omissions_is_the_one_in_force() -> None:
    """Every base of the code's table is in the docs with the same degrees."""
    told = {}
    for bases, free in rows("### Required and optional degrees"):
        for base in re.findall(r"`([^`]+)`", bases):
            told[base] = degrees(free.split(",")[0]) if re.match(r"[b#\d]", free) else ()
    assert {base: free for base, free in told.items() if base in MAY_LEAVE_OUT} == MAY_LEAVE_OUT
    assert not any(free for base, free in told.items() if base not in {*MAY_LEAVE_OUT, "add9"})


def test_the_levels_are_the_ones_in_force() -> None:
    """Barre, fingers, frets, opening and silent strings of each level."""
    for number, barre, fingers, base, top, opened, mutes in rows("## Levels"):
        level = LEVELS[int(number)]
        assert level.barre_strings == (8 if barre == "any" else int(barre))
        assert (int(fingers), int(base), int(top)) == (level.fingers, level.base, level.top)
        assert level.openness == (math.inf if opened == "any" else float(opened))
        assert int(mutes) == level.inner_mutes
    assert len(rows("## Levels")) == len(LEVELS)


def test_the_numbers_are_the_ones_in_force() -> None:
    """Defaults, reach, hands and the costs of a change stand in the docs."""
    flat = " ".join(PAGE.split())
    for said in (
        f"default `{DEFAULT_FRETS[0]}-{DEFAULT_FRETS[1]}`", f"(default {DEFAULT_SPAN})",
        f"at most {MOST_REACH} times", f"back by {SLACK} of its fret",
        ", ".join(str(round(hand.length_mm)) for hand in list(HANDS.values())[:2]),
        f"{MEDIUM.limit_mm(1, 4):.0f} mm for a medium hand",
        f"slides ({change.SLID:.2f})", f"elsewhere ({change.MOVED:.2f})",
        f"joins ({change.JOINED:.2f})", f"{change.SHIFT_PER_MM * 100:.1f} for 100 mm",
        f"{change.VOICE_PER_SEMITONE} for each semitone", f"adds {change.TOP_FALLS} where",
        f"the {arrange.MOST_CANDIDATES} likeliest",
    ):  # fmt: skip
        assert said in flat, said
