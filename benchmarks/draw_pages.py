"""How long diagrams, engraving and the handout take, the raw engraver beside ours.

    python benchmarks/draw_pages.py [LESSON]

Best of several runs, warm, in milliseconds; the lesson is the first demo unless given. The peer
of `engrave` is verovio alone, laying the same score out once and writing its pages.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import verovio

from gripwright.draw.diagram import diagram
from gripwright.draw.engrave import engrave
from gripwright.draw.raster import png
from gripwright.formats.musicxml import write_musicxml
from gripwright.lesson.text import read_lesson
from gripwright.page.handout import handout
from gripwright.page.shapes import grips_used

DEMO = Path(__file__).parents[1] / "demo/lamps-along-the-weir.md"


def best_ms(work: Callable[[], object], runs: int = 7) -> float:
    """Return the least time of several runs, the first left out."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


def raw(score: str) -> int:
    """Lay out and write every page by verovio alone."""
    toolkit = verovio.toolkit()
    toolkit.setOptions({"pageWidth": 1728, "scale": 100, "breaks": "auto"})
    toolkit.loadData(score)
    pages = range(1, toolkit.getPageCount() + 1)
    return sum(len(toolkit.renderToSVG(page)) for page in pages)


def main() -> None:
    """Print the table."""
    verovio.enableLog(verovio.LOG_OFF)
    lesson = read_lesson(Path(sys.argv[1]) if len(sys.argv) > 1 else DEMO).lesson
    if lesson is None:
        sys.exit("the lesson has problems")
    score = write_musicxml(lesson)
    used = grips_used(lesson)
    drawn = [diagram(c.grip, lesson.neck, fingers=c.fingers) for c in used if c.grip]
    rows: list[tuple[str, Callable[[], object]]] = [
        (f"{len(used)} diagrams as SVG", lambda: [
            diagram(c.grip, lesson.neck, fingers=c.fingers) for c in used if c.grip]),
        ("one diagram as PNG, 900 px", lambda: png(drawn[0], 900)),
        ("engrave the score, not cached", lambda: engrave.__wrapped__(score)),
        ("the engraver alone", lambda: raw(score.decode())),
        ("handout, A4, without notation", lambda: handout(lesson)),
        ("handout, A4, engraving cached", lambda: handout(lesson, musicxml=score)),
    ]  # fmt: skip
    for name, work in rows:
        print(f"{name:34} {best_ms(work):8.1f} ms")


if __name__ == "__main__":
    main()
