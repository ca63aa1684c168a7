"""A lesson as the browser draws it: parts, bars and chords as plain values.

Offsets and lengths are in beats of the bar's metre as floats: they are for drawing; every edit
goes by index, so no time is read back from the browser.
"""

from __future__ import annotations

from typing import Any

from gripwright.draw.words import grip_in_words
from gripwright.lesson.model import Bar, Chord, ChordEvent, Lesson
from gripwright.lesson.revise_carry import beats_of, stays_of
from gripwright.lesson.source import Node
from gripwright.lesson.text import Parsed
from gripwright.neck.tuning import Neck
from gripwright.proof.registry import Evidence, check

_MARKED = ("chord", "grip")


def lesson_view(path: str, text: str, parsed: Parsed) -> dict[str, Any]:
    """Return the object that the bench draws; problems ride along, the draft is drawn."""
    lesson = parsed.draft
    return {
        "path": path,
        "sha256": parsed.sha256,
        "text": text,
        "title": lesson.title or path,
        "whole": parsed.lesson is not None,
        "tuning": lesson.neck.tuning.text,
        "capo": lesson.neck.capo,
        "tempo_bpm": float(lesson.tempo_bpm),
        "metre": lesson.metre.text,
        "key": lesson.key.name if lesson.key else None,
        "facts": {
            field: text[span.start : span.end].strip()
            for (kind, field, *_), span in parsed.spans.items()
            if kind == "front"
        },
        "order": list(lesson.order),
        "parts": _parts(lesson, parsed, text),
        "problems": [_problem(problem) for problem in parsed.problems[:200]],
    }


def _problem(problem: Any) -> dict[str, Any]:
    return {
        "code": problem.code, "line": problem.line, "column": problem.column,
        "message": problem.message, "suggestion": problem.suggestion,
    }  # fmt: skip


def _marked(parsed: Parsed, text: str) -> dict[Node, str]:
    """Return what the proof says of chords and grips, by their node in the lesson."""
    lines = [0]
    for line in text.split("\n"):
        lines.append(lines[-1] + len(line) + 1)
    starts = {span.start: node for node, span in parsed.spans.items() if node[0] in _MARKED}
    marks: dict[Node, str] = {}
    for finding in check(Evidence(parsed, text)):
        node = starts.get(lines[finding.line - 1] + finding.column - 1)
        if node is not None and finding.severity == "wrong":
            marks.setdefault(node, finding.message)
    return marks


def _parts(lesson: Lesson, parsed: Parsed, text: str) -> list[dict[str, Any]]:
    marks = _marked(parsed, text)
    views = []
    for part in lesson.parts:
        bars = []
        for bar_index, bar in enumerate(part.bars):
            events = []
            leads = [stay[0].offset for stay in stays_of(bar.chords) for _ in stay]
            for event_index, event in enumerate(bar.chords):
                span = parsed.spans.get(("chord", part.name, bar_index, event_index))
                writing = text[span.start : span.end] if span else None
                view = _event(event, bar, lesson.neck, writing)
                named = ("grip", event.chord.name) if event.chord else ()
                here: Node = ("chord", part.name, bar_index, event_index)
                view["again"] = leads[event_index] < event.offset
                view["wrong"] = marks.get(here) or marks.get(named)
                events.append(view)
            bars.append({
                "metre": bar.metre.text,
                "repeat_start": bar.repeat_start,
                "repeat_times": bar.repeat_times,
                "endings": list(bar.endings),
                "lick": bool(bar.notes),
                "grid": [float(start / bar.metre.beats[0]) for start in beats_of(bar)],
                "events": events,
            })  # fmt: skip
        key = part.key.name if part.key else None
        views.append({"name": part.name, "key": key, "bars": bars})
    return views


def _event(event: ChordEvent, bar: Bar, neck: Neck, writing: str | None) -> dict[str, Any]:
    chord = event.chord
    beats = float(event.length / bar.metre.beats[0])
    view: dict[str, Any] = {
        "beats": beats, "rest": chord is None, "struck": event.struck, "push": float(event.push),
        "label": event.label, "writing": writing if writing is not None else "",
        "words": f"rest, {_beats(beats)}", "doubt": False,
    }  # fmt: skip
    if chord is None:
        return view
    symbol = chord.symbol
    runs = symbol.runs if symbol else ()
    return view | {
        "symbol": symbol.text if symbol else chord.name,
        "runs": [{"text": run.text, "raised": run.raised} for run in runs]
        or [{"text": chord.name, "raised": False}],
        "grip": chord.grip.text if chord.grip else None,
        "doubt": chord.doubt is not None,
        "words": _words(chord, neck, beats),
    }


def _words(chord: Chord, neck: Neck, beats: float) -> str:
    """Return what a screen reader says of a chord."""
    name = chord.symbol.pretty if chord.symbol else chord.name
    held = grip_in_words(chord.grip, neck, chord.fingers) if chord.grip else "no grip yet"
    return f"{name}, {_beats(beats)}; {held}"


def _beats(beats: float) -> str:
    return "1 beat" if beats == 1 else f"{beats:g} beats"
