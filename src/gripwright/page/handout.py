"""The handout: a lesson as a tagged PDF on A4 or Letter.

Title block, what the lesson is about, the grips it uses, the chart, the teacher's notes,
notation with tab. Every diagram and every line of music says itself in words to a reader who
cannot see it. The page is set by `typeset` from plain data made here.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from gripwright.draw.diagram import diagram
from gripwright.draw.engrave import System, engrave
from gripwright.draw.legend import legend
from gripwright.draw.look import HAND, PRINT, SANS, SERIF
from gripwright.draw.measures import page_axis_mm, page_width_mm
from gripwright.draw.pens import HandName
from gripwright.draw.strip import pattern_in_words, strip
from gripwright.draw.symbols import RAISED_BY, RAISED_SIZE, fit, runs_text
from gripwright.draw.words import grip_in_words
from gripwright.harmony.tones import Tone
from gripwright.lesson.model import Chord, Lesson
from gripwright.neck.tuning import STANDARD
from gripwright.page.chart import (
    COLUMN_MM,
    COLUMNS,
    MM_PER_PT,
    Cell,
    Item,
    Line,
    chart_lines,
    places,
)
from gripwright.page.prose import Node, headed, joined, loosened, prose_tree
from gripwright.page.shapes import as_named, grips_used, names_of, tones_of
from gripwright.page.typeset import typeset
from gripwright.theory.scale import Key
from gripwright.theory.symbol import Run

Paper = Literal["a4", "letter"]
Show = Literal["fingers", "degrees", "both"]
MAIN_MM = COLUMN_MM * COLUMNS
NAME_PT = 17.0
CAUTIONS = (
    "Warm up, rest often, and stop if it hurts; a pain that stays is a question for a clinician.",
    "A song belongs to those who made it: before you copy, share or publish this sheet, see what "
    "your law and licences allow.",
)


@dataclass(frozen=True, slots=True)
class Style:
    """How the handout is drawn: what the marks show, the hand, the side."""

    show: Show = "both"
    hand: HandName = "plain"
    left_handed: bool = False


def handout(
    lesson: Lesson,
    *,
    paper: Paper = "a4",
    musicxml: bytes | Sequence[System] | None = None,
    style: Style = Style(),
) -> bytes:
    """Return the handout as PDF; the same bytes for the same arguments.

    ``musicxml`` is the lesson's score, engraved under the chart, or the systems that `engraved`
    made of it; None leaves notation out.
    Raises BuildError when the page cannot be set, InputError when the score cannot be drawn.
    """
    return typeset("handout.typ", handout_data(lesson, paper, musicxml, style))


def handout_data(
    lesson: Lesson, paper: Paper, musicxml: bytes | Sequence[System] | None, style: Style
) -> dict[str, Any]:
    """Return everything that the template prints."""
    intro, notes = _prose(lesson)
    used = grips_used(lesson)
    tones = [tones_of(chord, lesson) for chord in used]
    lines = chart_lines(as_named(lesson))
    return {
        "paper": paper,
        "lang": _language(lesson),
        "look": {"ink": PRINT.ink, "quiet": PRINT.quiet, "hairline": PRINT.hairline,
                 "accent": PRINT.accent, "serif": SERIF, "sans": SANS,
                 "raised_size": RAISED_SIZE, "raised_by": RAISED_BY},
        "title": lesson.title or "Lesson",
        "head": loosened(lesson.title or "Lesson"),
        "title-size": _title_size(lesson.title),
        "subtitle": loosened(lesson.fact("subtitle")),
        "authors": [lesson.fact("author")] if lesson.fact("author") else [],
        "facts": _facts(lesson),
        "intro": intro,
        "notes": notes,
        "grips": [_grip(chord, lesson, heard, style)
                  for chord, heard in zip(used, tones, strict=True)],
        "name-face": HAND if style.hand == "pencil" else SANS,
        "grip-columns": _grip_columns(lesson),
        "grips-note": _grips_note(lesson),
        "sound-word": "sounds" if lesson.names == "shape" else "shape of",
        "legend": _legend(tones, style),
        "hands": _hands(lesson),
        "chart": [_part(loosened(part.name), _key(part.key), rows) for part, rows in lines],
        "played": _played(lesson),
        "chart-legend": _chart_legend(lines),
        "systems": _systems(musicxml),
        "closing": list(CAUTIONS),
    }  # fmt: skip


def _language(lesson: Lesson) -> str:
    """Return the ISO 639 code that the lesson states, English where it states none."""
    stated = lesson.fact("language").strip().lower()
    return stated if re.fullmatch("[a-z]{2,3}", stated) else "en"


def _played(lesson: Lesson) -> str:
    """Say the order of the parts where it is not that of the chart."""
    if lesson.order == tuple(part.name for part in lesson.parts):
        return ""
    return f"Played in this order: {', '.join(lesson.order)}."


def _title_size(title: str) -> float:
    """Return the size in pt of the title: smaller where it is long."""
    return 26.0 if len(title) <= 34 else 21.0 if len(title) <= 60 else 17.0


def _facts(lesson: Lesson) -> list[dict[str, Any]]:
    """Return the facts of the title block: name, value, columns."""
    metre = lesson.metre
    compound = metre.unit == 8 and set(metre.groups) == {3}
    beat = " (dotted quarters)" if compound else ""
    tuning = lesson.neck.tuning
    named = " ".join(pitch.pretty for pitch in tuning.strings)
    facts = [
        ("Beats a minute", f"{float(lesson.tempo_bpm):g}{beat}", 1),
        ("Metre", metre.text, 1),
        ("Key", _key(lesson.key), 1),
        ("Level", lesson.fact("level"), 1),
        ("Tuning, low to high", named + (" (standard)" if tuning == STANDARD else ""), 2),
        ("Capo", _capo(lesson), 1),
        ("Swing", _swing(lesson), 1),
    ]
    return _rows([fact for fact in facts if fact[1]])


def _rows(facts: Sequence[tuple[str, str, int]]) -> list[dict[str, Any]]:
    """Return the facts as cells of full rows: what does not fit goes down, blanks fill up."""
    cells: list[tuple[str, str, int]] = []
    column = 0
    for fact in facts:
        if column + fact[2] > COLUMNS:
            cells.append(("", "", COLUMNS - column))
            column = 0
        cells.append(fact)
        column = (column + fact[2]) % COLUMNS
    return [{"name": name, "value": value, "span": span} for name, value, span in cells]


def _key(key: Key | None) -> str:
    return key.pretty if key is not None else ""


def _capo(lesson: Lesson) -> str:
    capo = lesson.neck.capo
    if capo is None:
        return "partial, stops " + " ".join(map(str, lesson.neck.stops))
    return f"fret {capo}" if capo else ""


def _swing(lesson: Lesson) -> str:
    if lesson.swing * 2 == 1:
        return ""
    return f"{round(float(lesson.swing) * 100)} % on the beat"


def _prose(lesson: Lesson) -> tuple[list[Node], list[Node]]:
    """Return what the lesson is about, up to the first heading, and the notes after it."""
    where = places(lesson)
    nodes = joined(node for prose in lesson.prose for node in prose_tree(prose.markdown, where))
    if nodes and nodes[0]["kind"] == "heading" and nodes[0]["level"] == 1:
        nodes = nodes[1:]
    first = next((i for i, node in enumerate(nodes) if node["kind"] == "heading"), len(nodes))
    return nodes[:first], headed(nodes[first:], above=2)


def _grip(chord: Chord, lesson: Lesson, tones: Sequence[Tone], style: Style) -> dict[str, Any]:
    """Return one cell of the grid of grips."""
    assert chord.grip is not None
    runs, other = names_of(chord, lesson)
    room = MAIN_MM / _grip_columns(lesson) - 3
    said = grip_in_words(chord.grip, lesson.neck, chord.fingers)
    return {
        "runs": _runs(runs),
        "size": max(fit(runs, NAME_PT, room / MM_PER_PT), 10.7),
        "sound": _runs(other),
        "alt": f"{runs_text(runs)}: {said}",
        "width": page_width_mm(len(lesson.neck)),
        "axis": page_axis_mm(len(lesson.neck)),
        "svg": diagram(
            chord.grip, lesson.neck,
            fingers=None if style.show == "degrees" else chord.fingers,
            tones=None if style.show == "fingers" else tones,
            hand=style.hand, left_handed=style.left_handed, colours=PRINT,
        ),
    }  # fmt: skip


def _runs(runs: Sequence[Run]) -> list[dict[str, Any]]:
    return [asdict(run) for run in runs]


def _grip_columns(lesson: Lesson) -> int:
    return 4 if len(lesson.neck) <= 6 else 3


def _grips_note(lesson: Lesson) -> str:
    if not lesson.neck.capo:
        return ""
    shape, sound = "the shape under the hand", "the sound"
    first, other = (shape, sound) if lesson.names == "shape" else (sound, shape)
    return (
        f"Capo at fret {lesson.neck.capo}; frets are counted from it. "
        f"Names are those of {first}; beneath each grip stands the name of {other}."
    )


def _legend(tones: Sequence[Sequence[Tone]], style: Style) -> list[dict[str, str]]:
    if style.show == "fingers":
        return []
    shown = [tone.degree for heard in tones for tone in heard]
    return [{"svg": entry.svg, "text": entry.words, "alt": f"mark of: {entry.words}"}
            for entry in legend(shown, PRINT)]  # fmt: skip


def _hands(lesson: Lesson) -> list[dict[str, str]]:
    """Return the right-hand patterns that the chart uses, in the order of setting out."""
    metres = {bar.pattern: bar.metre for part in reversed(lesson.parts)
              for bar in reversed(part.bars) if bar.pattern}  # fmt: skip
    used = [pattern for pattern in lesson.patterns if pattern in metres]
    return [{"name": pattern.name, "svg": strip(pattern, metres[pattern]),
             "alt": f"{pattern.name}: {pattern_in_words(pattern, metres[pattern])}"}
            for pattern in used]  # fmt: skip


def _part(name: str, key: str, lines: Sequence[Line]) -> dict[str, Any]:
    rows = [
        {"start": line.start, "top": any(cell.needs_top for cell in line.cells),
         "cells": [_cell(cell) for cell in line.cells]}
        for line in lines
    ]  # fmt: skip
    return {"name": name, "key": key, "lines": rows}


def _cell(cell: Cell) -> dict[str, Any]:
    return {
        "number": cell.number, "span": cell.span, "opens": cell.opens, "closes": cell.closes,
        "size": cell.size_pt, "ticks": list(cell.ticks_mm), "metre": cell.metre,
        "times": cell.times, "ending": cell.ending, "ending_opens": cell.ending_opens,
        "ending_closes": cell.ending_closes, "note": cell.note, "lick": cell.lick,
        "items": [_item(item) for item in cell.items],
    }  # fmt: skip


def _item(item: Item) -> dict[str, Any]:
    return {"kind": item.kind, "x": item.x_mm, "runs": _runs(item.runs), "push": item.push,
            "doubt": item.doubt, "label": item.label}  # fmt: skip


def _chart_legend(lines: Sequence[tuple[object, Sequence[Line]]]) -> str:
    """Say the signs that this chart uses and that a player may not know."""
    items = [item for _, rows in lines for row in rows for cell in row.cells for item in cell.items]
    signs = []
    if any(item.push for item in items):
        signs.append("← arrives early, by half a beat or by the part of a beat beside it.")
    if any(item.kind == "slash" for item in items):
        signs.append("/ strikes the chord again.")
    if any(item.kind == "ring" for item in items):
        signs.append("A dash lets the chord before ring on.")
    if any(item.doubt for item in items):
        signs.append("? is still in doubt.")
    return " ".join(signs)


def engraved(musicxml: bytes) -> tuple[System, ...]:
    """Return the systems that the handout prints of a score; none where it has no notes."""
    return engrave(musicxml, width_mm=MAIN_MM) if b"<fret>" in musicxml else ()


def _systems(music: bytes | Sequence[System] | None) -> list[dict[str, Any]]:
    systems = engraved(music) if isinstance(music, bytes) else music or ()
    return [{"svg": system.svg, "part": loosened(system.part) if system.begins else "",
             "number": system.first_number, "alt": system.words}
            for system in systems]  # fmt: skip
