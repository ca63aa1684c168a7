"""Harte labels: the published chord syntax, written and read.

Harte, Sandler, Abdallah, Gómez, "Symbolic representation of musical chords", ISMIR 2005:
``root:shorthand(degrees)/bass``, ``*`` before a degree that does not sound, ``N`` no chord,
``X`` a chord without a name. Only the shorthands of that paper and ``sus2`` are written;
elevenths and thirteenths are spelled out, since toolkits differ on what they imply.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from gripwright.theory.interval import Degree, degree_between, degrees
from gripwright.theory.pitch import Note

SHORTHANDS: dict[str, tuple[Degree, ...]] = {
    name: degrees(content)
    for name, content in {
        "maj": "1 3 5", "min": "1 b3 5", "dim": "1 b3 b5", "aug": "1 3 #5",
        "maj7": "1 3 5 7", "min7": "1 b3 5 b7", "7": "1 3 5 b7", "dim7": "1 b3 b5 bb7",
        "hdim7": "1 b3 b5 b7", "minmaj7": "1 b3 5 7", "maj6": "1 3 5 6", "min6": "1 b3 5 6",
        "9": "1 3 5 b7 9", "maj9": "1 3 5 7 9", "min9": "1 b3 5 b7 9",
        "sus2": "1 2 5", "sus4": "1 4 5",
    }.items()
}  # fmt: skip


def harte_label(root: Note, content: Iterable[Degree], bass: Note | None = None) -> str:
    """Return the label of the degrees that sound above a root, over a bass.

    >>> harte_label(Note(0), degrees("1 3 b7 9"))
    'C:9(*5)'
    """
    slash = f"/{degree_between(root, bass).text}" if bass and bass != root else ""
    return f"{root.name}:{content_label(frozenset(content))}{slash}"


@lru_cache(maxsize=8192)
def content_label(content: frozenset[Degree]) -> str:
    """Return shorthand and changes of a set of degrees: the fewest changes, then the first.

    A shorthand counts only with its third (or what stands for it) and its seventh sounding.
    """
    best: tuple[int, str] | None = None
    for name, row in SHORTHANDS.items():
        extra = sorted(content - set(row), key=lambda degree: degree.order)
        gone = sorted(set(row) - content, key=lambda degree: degree.order)
        if any(degree.number not in (1, 5, 9) for degree in gone):
            continue
        changes = [degree.text for degree in extra] + [f"*{degree.text}" for degree in gone]
        length = len(extra) + 2 * len(gone)
        if best is None or length < best[0]:
            best = (length, name + (f"({','.join(changes)})" if changes else ""))
    if best is None:
        return "(" + ",".join(d.text for d in sorted(content, key=lambda d: d.order)) + ")"
    return best[1]
