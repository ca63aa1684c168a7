"""Diagrams of every grip as files: SVG and PNG, drawn plain and by pencil."""

from __future__ import annotations

import re

from gripwright.draw.diagram import diagram
from gripwright.draw.pens import HandName
from gripwright.draw.raster import png
from gripwright.draw.symbols import chord_runs
from gripwright.harmony.tones import tones_under
from gripwright.lesson.model import Chord
from gripwright.neck.tuning import Neck
from gripwright.pack.stage import Job, Made

HANDS: tuple[HandName, ...] = ("plain", "pencil")
WIDTH_PX = 900


def make(job: Job) -> tuple[Made, ...]:
    """Write ``diagrams/<number>-<name>-<grip>-<hand>.svg`` and ``.png``; raises OSError."""
    made = []
    for number, chord in enumerate(job.lesson.grips, start=1):
        for hand in HANDS:
            path = f"diagrams/{number:02d}-{_name(chord)}-{hand}"
            drawn = _drawn(chord, job.lesson.neck, hand, job.settings["left_handed"])
            job.place(f"{path}.svg").write_text(drawn, encoding="utf-8", newline="\n")
            job.place(f"{path}.png").write_bytes(png(drawn, WIDTH_PX))
            made += [Made(f"{path}.svg", "diagram"), Made(f"{path}.png", "diagram")]
    return tuple(made)


def _drawn(chord: Chord, neck: Neck, hand: HandName, left_handed: bool) -> str:
    """Return the diagram with fingers where the teacher gave them, else with degrees."""
    assert chord.grip is not None
    tones = None
    if chord.symbol and not any(chord.fingers or ()):
        tones = tones_under(chord.symbol, chord.grip, neck)
    return diagram(
        chord.grip, neck, fingers=chord.fingers, tones=tones, symbol=chord_runs(chord),
        hand=hand, left_handed=left_handed,
    )  # fmt: skip


def _name(chord: Chord) -> str:
    """Return a chord's name and grip in letters that every file system and address takes.

    >>> from gripwright.neck.grip import parse_grip
    >>> _name(Chord("D/F#", None, parse_grip("200232")))
    'D-on-Fs-200232'
    """
    assert chord.grip is not None
    name = chord.symbol.text if chord.symbol else chord.name
    plain = re.sub(r"[^A-Za-z0-9]+", "-", name.replace("#", "s").replace("/", "-on-")).strip("-")
    return f"{plain}-{chord.grip.text}" if plain != chord.grip.text else plain
