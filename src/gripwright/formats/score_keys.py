"""The key signature of each part: the teacher's, else the one that its chords are in."""

from __future__ import annotations

from collections import defaultdict

from gripwright.beats import Quarters
from gripwright.harmony.facts import facts_of
from gripwright.harmony.key import find_keys
from gripwright.lesson.model import Lesson
from gripwright.theory.pitch import Note
from gripwright.theory.scale import Key

C_MAJOR = Key(Note(0))


def part_keys(lesson: Lesson) -> dict[str, Key]:
    """Return the key of each part by its name.

    A part's own key comes first, then the lesson's. Where the lesson leaves it open, a part is
    in the key that holds for most of its length; without chord symbols in C major.
    """
    found = {} if lesson.key else _heard(lesson)
    return {
        part.name: part.key or lesson.key or found.get(part.name, C_MAJOR) for part in lesson.parts
    }


def _heard(lesson: Lesson) -> dict[str, Key]:
    """Return the key that holds longest in each part, for parts with chord symbols."""
    rows = [
        (part.name, facts_of(e.chord.symbol) if e.chord and e.chord.symbol else None, e.length)
        for part in lesson.parts
        for bar in part.bars
        for e in bar.chords
    ]
    if not any(facts for _, facts, _ in rows):
        return {}
    keys = find_keys([facts for _, facts, _ in rows], [float(length) for _, _, length in rows])
    lengths: dict[str, dict[Key, Quarters]] = defaultdict(lambda: defaultdict(Quarters))
    for index, (name, facts, length) in enumerate(rows):
        if facts is not None:
            lengths[name][keys.at(index)] += length
    return {name: max(held, key=held.__getitem__) for name, held in lengths.items()}
