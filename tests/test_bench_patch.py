"""The browser's patches: two people's changes of one text meet in the same place either way."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

PATCH = Path(__file__).parents[1] / "src" / "gripwright" / "bench" / "web" / "patch.js"
pytestmark = pytest.mark.skipif(not shutil.which("node"), reason="node is not installed")
RANDOM = """
let seed = 20261127;
const below = (n) => { seed = (seed * 48271) % 2147483647; return seed % n; };
const pick = () => ["a", "b", " ", "\\n", "\\n", "♭", "𝄞", "😀"][below(8)];
const text = (n) => Array.from({ length: n }, pick).join("");
const patch = (of) => {
  const size = [...of].length, start = below(size + 1);
  return { start, end: start + below(Math.min(4, size - start + 1)), text: text(below(4)) };
};
const all = (base, patches) => patches.reduceRight((now, one) => applied(now, one), base);
"""


def _run(script: str) -> Any:
    source = f'import {{ applied, carriedOver, difference, differences, quarrel, rebased, rebasedHistory }} from "{PATCH.as_uri()}";'  # noqa: E501
    told = subprocess.run(
        ["node", "--input-type=module", "-e", source + RANDOM + script],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(told.stdout)


def test_differences_turn_one_text_into_the_other() -> None:
    """However two texts differ, the patches between them lead from one to the other."""
    found = _run("""
      const wrong = []; let several = 0;
      for (let i = 0; i < 600; i += 1) {
        const before = text(below(40));
        const after = i % 2 ? text(below(40)) : applied(applied(before, patch(before)), { start: 0, end: 0, text: text(2) });
        const one = difference(before, after), many = differences(before, after);
        several += many.length > 1;
        if ((one ? applied(before, one) : before) !== after || all(before, many) !== after) wrong.push([before, after]);
      }
      console.log(JSON.stringify({ wrong, several }));
    """)  # noqa: E501
    assert found["wrong"] == []
    assert found["several"] > 50


def test_two_patches_meet_in_either_order() -> None:
    """Made one after the other, whichever comes first, two patches that do not touch agree.

    The convergence property of operational transformation (Ellis and Gibbs, SIGMOD 1989), for
    patches of places that do not touch.
    """
    found = _run("""
      const wrong = []; let apart = 0;
      for (let i = 0; i < 1500; i += 1) {
        const base = text(5 + below(20)), mine = patch(base), theirs = patch(base);
        const after = rebased(mine, [theirs]), other = rebased(theirs, [mine], true);
        if ((after === null) !== (other === null)) wrong.push(["one-sided", base, mine, theirs]);
        if (!after || !other) continue;
        apart += 1;
        if (applied(applied(base, theirs), after) !== applied(applied(base, mine), other)) wrong.push([base, mine, theirs]);
      }
      console.log(JSON.stringify({ wrong, apart }));
    """)  # noqa: E501
    assert found["wrong"] == []
    assert found["apart"] > 500


def test_undo_after_a_change_from_outside_leaves_that_change() -> None:
    """Taking back all that is left of a history brings back the start, the foreign change in it."""
    found = _run("""
      const wrong = []; let full = 0;
      for (let i = 0; i < 400; i += 1) {
        const base = text(20), steps = [], history = [];
        let now = base;
        for (let k = 0; k < 4; k += 1) {
          const made = patch(now), chars = [...now];
          history.push({ start: made.start, end: made.start + [...made.text].length, text: chars.slice(made.start, made.end).join("") });
          now = applied(now, made);
        }
        const foreign = patch(now), kept = rebasedHistory(history, [foreign]);
        let back = applied(now, foreign), plain = now;
        for (let k = 0; k < kept.length; k += 1) {
          back = applied(back, kept[kept.length - 1 - k]);
          plain = applied(plain, history[history.length - 1 - k]);
        }
        full += kept.length === 4;
        const size = [...back].length - [...plain].length;
        const want = [...foreign.text].length - (foreign.end - foreign.start);
        if (size !== want || (kept.length === 4 && !back.includes(foreign.text))) wrong.push([base, history, foreign]);
      }
      console.log(JSON.stringify({ wrong, full }));
    """)  # noqa: E501
    assert found["wrong"] == []
    assert found["full"] > 20


def test_a_quarrel_shows_both_sides_whole() -> None:
    """Where two changes touch, my side and the file's cover the same stretch of the text."""
    found = _run("""
      const base = "one two three four\\nfive\\n", now = "one 2 three four\\nfive\\nsix\\n";
      const mine = difference(base, "one twelve three four\\nfive\\n");
      const both = quarrel(base, now, mine);
      console.log(JSON.stringify({ ...both, mended: applied(now, both.patch) }));
    """)
    assert found["clean"] is False
    assert found["mended"] == "one twelve three four\nfive\nsix\n"


def test_the_caret_stays_with_its_words() -> None:
    """A change before the caret moves it, one after it does not."""
    found = _run("""
      const over = differences("alpha\\nbeta\\ngamma", "alpha one\\nbeta\\nga");
      console.log(JSON.stringify([3, 8, 16].map((at) => carriedOver(at, over))));
    """)
    assert found == [3, 12, 17]
