"""How long it takes to read a lesson of 200 bars, beside a CommonMark parser on the same text.

Run: ``python benchmarks/read_lesson.py``. The peer, markdown-it-py, finds only the blocks.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import median

from markdown_it import MarkdownIt

from gripwright.lesson.text import parse

CHORDS = ("Am9", "D13", "Gmaj7", "C9sus4", "F#7(b9)", "Bm7(b5)", "E7", "A6/9")
LICK = "lick | by 2 5on2 h7on2 p5on2 7>9on3 _ 7on3 . . | ... | | by 4 5on1 3on1 ... |"


def long_lesson(lines: int = 50) -> str:
    """Return a lesson of four bars a line, a lick under every second line."""
    rows = []
    for line in range(lines):
        cells = (
            f"{CHORDS[(3 * line + i) % 8]} / <{CHORDS[(line + 5 * i) % 8]} _" for i in range(4)
        )
        rows.append(f"| {' | '.join(cells)} |")
        if line % 2 == 0:
            rows.append(LICK)
    words = "Words about the chords that follow. " * 100
    chart = "\n".join(rows)
    return f"---\ntitle: Long\n---\n\n{words}\n\n```part A\n{chart}\n```\n"


def timed(read: Callable[[str], object], text: str, runs: int = 25) -> tuple[float, float]:
    """Return the fastest and the median run in milliseconds, the first one left out."""
    read(text)
    spent = []
    for _ in range(runs):
        start = time.perf_counter()
        read(text)
        spent.append(1000 * (time.perf_counter() - start))
    return min(spent), median(spent)


def row(name: str, spent: tuple[float, float]) -> str:
    """Return a row of the table."""
    return f"{name:<40} {spent[0]:8.1f} {spent[1]:8.1f}"


def main() -> None:
    """Print the table."""
    text = long_lesson()
    assert not parse(text).problems
    print(f"{'200 bars, ' + str(len(text)) + ' characters':<40} {'min ms':>8} {'median':>8}")
    for name, read in (("gripwright parse", parse), ("markdown-it-py blocks", MarkdownIt().parse)):
        print(row(name, timed(read, text)))
    noise = "|`~?(x9" * 1_500_000
    print(row("10 MB of noise, refused", timed(parse, noise, 3)))


if __name__ == "__main__":
    main()
