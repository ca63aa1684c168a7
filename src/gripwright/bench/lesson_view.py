"""A lesson as the browser draws it: parts, bars and chords as plain values.

Offsets and lengths are in beats of the bar's metre as floats: they are for drawing; every edit
goes by index, so no time is read back from the browser.
"""

from __future__ import annotations

from functools import lru_cache

from gripwright.beats import Metre, Quarters
from gripwright.bench.wire.lesson import (
    BarView,
    EventView,
    LessonView,
    PartView,
    ProblemView,
    Run,
)
from gripwright.draw.words import grip_in_words
from gripwright.lesson.model import Bar, Chord, ChordEvent, Lesson
from gripwright.lesson.revise_carry import beats_of, stays_of
from gripwright.lesson.source import Node
from gripwright.lesson.text import Parsed
from gripwright.neck.tuning import Neck
from gripwright.proof.registry import STOPPING, Evidence, check

_MARKED = ("chord", "grip")
MOST_PROBLEMS = 200


def lesson_view(path: str, text: str, parsed: Parsed) -> LessonView:
    """Return the object that the bench draws; problems ride along, the draft is drawn."""
    lesson = parsed.draft
    return LessonView(
        path=path,
        sha256=parsed.sha256,
        text=text,
        title=lesson.title or path,
        whole=parsed.lesson is not None,
        tuning=lesson.neck.tuning.text,
        capo=lesson.neck.capo,
        tempo_bpm=float(lesson.tempo_bpm),
        metre=lesson.metre.text,
        key=lesson.key.name if lesson.key else None,
        facts={
            str(field): text[span.start : span.end].strip()
            for (kind, field, *_), span in parsed.spans.items()
            if kind == "front"
        },
        order=list(lesson.order),
        parts=_parts(lesson, parsed, text),
        problems=[
            ProblemView(p.code, p.line, p.column, p.message, p.suggestion)
            for p in parsed.problems[:MOST_PROBLEMS]
        ],
    )


def _marked(parsed: Parsed, text: str) -> dict[Node, str]:
    """Return what the proof says of chords and grips, by their node in the lesson."""
    lines = [0]
    for line in text.split("\n"):
        lines.append(lines[-1] + len(line) + 1)
    starts = {span.start: node for node, span in parsed.spans.items() if node[0] in _MARKED}
    marks: dict[Node, str] = {}
    for finding in check(Evidence(parsed, text), STOPPING):
        node = starts.get(lines[finding.line - 1] + finding.column - 1)
        if node is not None and finding.severity == "wrong":
            marks.setdefault(node, finding.message)
    return marks


def _parts(lesson: Lesson, parsed: Parsed, text: str) -> list[PartView]:
    marks = _marked(parsed, text)
    return [
        PartView(
            part.name,
            part.key.name if part.key else None,
            [
                _bar(bar, ("chord", part.name, index), lesson.neck, parsed, text, marks)
                for index, bar in enumerate(part.bars)
            ],
        )
        for part in lesson.parts
    ]


def _bar(
    bar: Bar, here: Node, neck: Neck, parsed: Parsed, text: str, marks: dict[Node, str]
) -> BarView:
    leads = [stay[0].offset for stay in stays_of(bar.chords) for _ in stay]
    events = []
    for index, event in enumerate(bar.chords):
        node: Node = (*here, index)
        span = parsed.spans.get(node)
        named = ("grip", event.chord.name) if event.chord else ()
        view = _event(
            event, bar, neck,
            writing=text[span.start : span.end] if span else "",
            again=leads[index] < event.offset,
            wrong=marks.get(node) or marks.get(named),
        )  # fmt: skip
        events.append(view)
    return BarView(
        metre=bar.metre.text,
        repeat_start=bar.repeat_start,
        repeat_times=bar.repeat_times,
        endings=bar.endings,
        lick=bool(bar.notes),
        grid=list(_grid(bar.metre, bar.length)),
        events=events,
    )


@lru_cache(maxsize=256)
def _grid(metre: Metre, length: Quarters) -> tuple[float, ...]:
    """Return where the beats of a bar start, in beats."""
    return tuple(float(start / metre.beats[0]) for start in beats_of(Bar(metre, length, ())))


def _event(
    event: ChordEvent, bar: Bar, neck: Neck, *, writing: str, again: bool, wrong: str | None
) -> EventView:
    chord = event.chord
    beats = float(event.length / bar.metre.beats[0])
    symbol = chord.symbol if chord else None
    runs = tuple(Run(run.text, run.raised) for run in symbol.runs) if symbol else ()
    return EventView(
        beats=beats,
        rest=chord is None,
        struck=event.struck,
        push=float(event.push),
        label=event.label,
        writing=writing,
        words=_words(chord, neck, beats) if chord else f"rest, {_beats(beats)}",
        again=again,
        wrong=wrong,
        doubt=chord is not None and chord.doubt is not None,
        symbol=symbol.text if symbol else chord.name if chord else None,
        runs=runs or ((Run(chord.name, False),) if chord else ()),
        grip=chord.grip.text if chord and chord.grip else None,
    )


def _words(chord: Chord, neck: Neck, beats: float) -> str:
    """Return what a screen reader says of a chord."""
    name = chord.symbol.pretty if chord.symbol else chord.name
    held = grip_in_words(chord.grip, neck, chord.fingers) if chord.grip else "no grip yet"
    return f"{name}, {_beats(beats)}; {held}"


def _beats(beats: float) -> str:
    return "1 beat" if beats == 1 else f"{beats:g} beats"
