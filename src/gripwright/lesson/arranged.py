"""Arrange the chart of a lesson, and write the grips into it.

The chords are taken in the order of writing, each part once. What the teacher set out as a
grip stays as it is; only symbols without one get grips. Writing goes through the one kind of
edit: grips are set out (``Am9``, a second voicing of it as ``Am9'``), and where a chord of the
chart takes another voicing than the first its word changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gripwright.errors import LessonError, SearchError
from gripwright.lesson.edit import apply_edit
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.revise import Place, set_chord
from gripwright.lesson.revise_text import add_grip
from gripwright.lesson.text import parse
from gripwright.neck.effort import Player
from gripwright.neck.grip import Grip
from gripwright.neck.hand import Finger
from gripwright.timing import steady
from gripwright.voicing.arrange import Arrangement, Asked, Wanted, arrange


@dataclass(frozen=True, slots=True)
class Written:
    """One chord of the chart: where it stands, and what is asked of it.

    A chord struck again, or rung on, right after it is part of it.
    """

    place: Place
    chord: Chord
    asked: Asked


def chords_of(lesson: Lesson) -> tuple[Written, ...]:
    """Return the chords of a lesson in the order of writing.

    Raises SearchError for a name that is neither a symbol nor set out as a grip.
    """
    tempo = steady(lesson.tempo_bpm, lesson.metre)
    found: list[Written] = []
    for part in lesson.parts:
        for bar_index, bar in enumerate(part.bars):
            for index, event in enumerate(bar.chords):
                if event.chord is None:
                    continue
                length = tempo.seconds(event.length)
                place = Place(part.name, bar_index, index)
                if found and _goes_on(found[-1], event.chord, place):
                    found[-1] = _longer(found[-1], length)
                else:
                    found.append(Written(place, event.chord, _asked(event.chord, length)))
    return tuple(found)


def _goes_on(last: Written, chord: Chord, place: Place) -> bool:
    return last.chord == chord and last.place.part == place.part


def _longer(last: Written, length_s: float) -> Written:
    return replace(last, asked=replace(last.asked, length_s=last.asked.length_s + length_s))


def _asked(chord: Chord, length_s: float) -> Asked:
    if chord.symbol is None and chord.grip is None:
        raise SearchError(
            f"{chord.name!r} is neither a symbol nor set out as a grip", field="lesson",
            at=chord.name, remedy="set it out in a block of grips",
        )  # fmt: skip
    return Asked(chord.symbol, chord.grip, chord.fingers, length_s=length_s)


def arrange_lesson(
    lesson: Lesson,
    player: Player,
    wanted: Wanted | None = None,
    *,
    one_each: bool = False,
    count: int = 1,
) -> tuple[Arrangement, ...]:
    """Return the best arrangement of a lesson's chart and different ones after it.

    ``one_each`` gives every symbol one grip wherever it stands: the one that the best chain
    uses most. Raises SearchError for a lesson without chords, or a chord without a grip.
    """
    written = chords_of(lesson)
    asked = [one.asked for one in written]
    if not one_each:
        return arrange(asked, player, wanted, count=count)
    first = arrange(asked, player, wanted)[0]
    uses: dict[object, dict[Grip, int]] = {}
    for one, found in zip(asked, first.grips, strict=True):
        tally = uses.setdefault(one.symbol, {})
        tally[found.grip] = tally.get(found.grip, 0) + 1
    fixed = [
        one
        if one.grip
        else replace(one, grip=max(uses[one.symbol], key=uses[one.symbol].__getitem__))
        for one in asked
    ]
    return arrange(fixed, player, wanted, count=count)


def write_grips_in(text: str, arrangement: Arrangement) -> str:
    """Return a lesson's text with an arrangement of its chart written into it.

    The teacher's own grips and every other byte stay. Raises LessonError where the text is no
    lesson, or has not the chords that were arranged.
    """
    parsed = parse(text)
    if parsed.lesson is None:
        raise LessonError("the lesson has problems", problems=parsed.problems, field="lesson")
    written = chords_of(parsed.lesson)
    if len(written) != len(arrangement.grips):
        raise LessonError("the lesson has changed since it was arranged", field="lesson")
    names: dict[tuple[str, Grip], str] = {}
    words: list[tuple[Place, str]] = []
    taken = {chord.name for chord in parsed.lesson.grips}
    for one, found in zip(written, arrangement.fingerings, strict=True):
        if one.chord.grip is not None or one.chord.symbol is None:
            continue
        plain = one.chord.symbol.text
        key = (plain, found.grip)
        if key not in names:
            names[key] = _free_name(plain, taken)
            taken.add(names[key])
            text = _set_out(text, names[key], found.grip, found.fingers)
        if names[key] != plain:
            words.append((one.place, names[key]))
    for place, word in words:
        text = apply_edit(text, set_chord(text, parse(text), place, word))
    return text


def _free_name(plain: str, taken: set[str]) -> str:
    name = plain
    while name in taken:
        name += "'"
    return name


def _set_out(text: str, name: str, grip: Grip, fingers: Sequence[Finger | None]) -> str:
    return apply_edit(text, add_grip(text, parse(text), name, grip, fingers=tuple(fingers)))
