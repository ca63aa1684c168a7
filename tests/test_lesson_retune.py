"""Another tuning: the same shapes or the same pitches."""

from __future__ import annotations

from pathlib import Path

import pytest

from gripwright.errors import InputError
from gripwright.lesson.edit import apply_edit
from gripwright.lesson.model import Lesson
from gripwright.lesson.revise_tuning import Keep, retune
from gripwright.lesson.text import parse
from gripwright.neck.grip import soundings
from gripwright.neck.tuning import parse_tuning

GRAVEL = (Path(__file__).parent / "lessons" / "gravel.md").read_text(encoding="utf-8")
SMALL = """---
title: T
---

```grips
G    320003
     21...3
```

```part A
| G / x32010=C / |
lick | 3on6 5>7on6 x3on5 7b9on6 |
```
"""


def retuned(text: str, tuning: str, keep: Keep) -> tuple[str, Lesson]:
    """Return text and lesson in another tuning."""
    changed = apply_edit(text, retune(text, parse(text), parse_tuning(tuning), keep=keep))
    lesson = parse(changed).lesson
    assert lesson is not None
    return changed, lesson


def pitches(lesson: Lesson) -> list[object]:
    """Return every pitch of grips and licks; a dead note has none."""
    neck = lesson.neck
    grips: list[object] = [
        tuple(sound.midi for sound in soundings(event.chord.grip, neck))
        for part in lesson.parts
        for bar in part.bars
        for event in bar.chords
        if event.chord and event.chord.grip
    ]
    return grips + [
        neck.midi(len(neck) - note.string, note.fret)
        for part in lesson.parts
        for bar in part.bars
        for note in bar.notes
        if "dead" not in note.techniques
    ]


def test_the_same_shapes_leave_every_fret() -> None:
    """Only the front matter changes."""
    changed, _ = retuned(SMALL, "D2 A2 D3 G3 B3 E4", "shapes")
    assert changed == SMALL.replace("title: T\n", "title: T\ntuning: D2 A2 D3 G3 B3 E4\n")


@pytest.mark.parametrize("text", [SMALL, GRAVEL])
def test_the_same_pitches_move_the_frets(text: str) -> None:
    """Every note of grips and licks sounds as before."""
    before = parse(text).lesson
    assert before is not None
    changed, lesson = retuned(text, "C2 G2 D3 G3 B3 D4", "pitches")
    assert pitches(lesson) == pitches(before)
    assert changed != text


def test_fingers_go_where_frets_change() -> None:
    """They belonged to other frets; bends and slides move as a whole."""
    changed, lesson = retuned(SMALL, "D2 A2 D3 G3 B3 E4", "pitches")
    assert "G    520003\n```" in changed
    assert "5on6 7>9on6 x3on5 9b11on6" in changed
    assert lesson.grips[0].fingers is None


def test_a_pitch_below_the_new_string_is_refused() -> None:
    """Nothing is edited."""
    with pytest.raises(InputError, match="fret -2"):
        retune(GRAVEL, parse(GRAVEL), parse_tuning("E2 A2 D3 G3 B3 E4"), keep="pitches")


def test_another_number_of_strings_is_refused() -> None:
    """Shapes need the same strings."""
    with pytest.raises(InputError, match="6 strings, this tuning 4"):
        retune(SMALL, parse(SMALL), parse_tuning("G4 C4 E4 A4"), keep="shapes")
