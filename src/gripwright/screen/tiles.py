"""Tiles: the parts of a frame, each drawn once for what it says.

A tile is an SVG of exactly the size of its box. What stands in the box of the grip depends on
the grip alone (its fingers are those first given for it), so that frames differ there exactly
when the grip does.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from gripwright.beats import Quarters
from gripwright.draw.diagram import diagram
from gripwright.draw.look import SANS, Palette
from gripwright.draw.svg import clean, element, num
from gripwright.draw.symbols import chord_runs, fit, symbol_svg
from gripwright.draw.type import width
from gripwright.lesson.model import Chord, Finger
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.screen.layout import Box, Layout
from gripwright.screen.shots import Scene

Tile = tuple[Box, str]
Fingers = Mapping[Grip, tuple[Finger | None, ...] | None]

PLATE_OPACITY = 0.92
_SIZE = re.compile(r'^<svg\b[^>]*?\swidth="([\d.]+)px"\s+height="([\d.]+)px"')


@dataclass(frozen=True, slots=True)
class Board:
    """What all frames of a video share: layout, neck, colours, hands, title."""

    layout: Layout
    neck: Neck
    colours: Palette
    fingers: Fingers
    title: str
    left_handed: bool = False


def tiles(board: Board, scene: Scene) -> tuple[Tile, ...]:
    """Return the tiles of a scene, back to front; equal parts of scenes give equal tiles."""
    plan = board.layout
    placed = (
        (plan.part, _part), (plan.bar, _bar), (plan.grip, _held), (plan.symbol, _now),
        (plan.next_label, _label), (plan.next_grip, _waiting), (plan.next_symbol, _coming),
        (plan.beat, _beat),
    )  # fmt: skip
    shown = tuple((box, draw(board, box, scene)) for box, draw in placed if box is not None)
    if plan.plate is None:
        return shown
    if scene.chord is None and scene.coming is None:
        return ()
    box = plan.plate
    under = element(
        "svg", _plate(board, box, plan.plate_round), xmlns="http://www.w3.org/2000/svg",
        width=f"{box.width}px", height=f"{box.height}px",
    )  # fmt: skip
    return ((box, under), *shown)


def _sheet(board: Board, box: Box, *parts: str) -> str:
    """Return a picture of a box, on the plate where the layout has one."""
    under = _plate(board, box, 0) if board.layout.plate else ""
    return element(
        "svg", under, *parts, xmlns="http://www.w3.org/2000/svg",
        width=f"{box.width}px", height=f"{box.height}px",
        viewBox=f"0 0 {box.width} {box.height}",
    )  # fmt: skip


def _plate(board: Board, box: Box, round_px: float) -> str:
    return element(
        "rect", width=box.width, height=box.height, rx=round_px, fill=board.colours.paper,
        fill_opacity=PLATE_OPACITY,
    )  # fmt: skip


def _words(text: str, x: float, y: float, size: float, colour: str, anchor: str = "start") -> str:
    return element(
        "text", clean(text), x=x, y=y, font_family=SANS, font_size=size, font_weight=600,
        fill=colour, text_anchor=anchor,
    )  # fmt: skip


def _clipped(text: str, size: float, room: float) -> str:
    """Return the text, cut with an ellipsis where it is wider than its room."""
    if width(text, size) <= room:
        return text
    while text and width(text + "…", size) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def _part(board: Board, box: Box, scene: Scene) -> str:
    beat, size = scene.beat, board.layout.part_px
    colour = board.colours.quiet if beat and beat.counting else board.colours.ink
    text = _clipped(beat.part if beat else board.title, size, box.width)
    return _sheet(board, box, _words(text, 0, 0.8 * box.height, size, colour))


def _bar(board: Board, box: Box, scene: Scene) -> str:
    beat, size = scene.beat, board.layout.bar_px
    if beat is None:
        return _sheet(board, box)
    text = "count-in" if beat.counting else f"bar {beat.bar} of {beat.bars}"
    right = board.layout.bar_at_right
    x, anchor = (box.width, "end") if right else (0, "start")
    return _sheet(board, box, _words(text, x, 0.8 * box.height, size, board.colours.quiet, anchor))


def _label(board: Board, box: Box, scene: Scene) -> str:
    if scene.coming is None:
        return _sheet(board, box)
    return _sheet(board, box, _words("next", 0, 0.8 * box.height, box.height, board.colours.quiet))


def _held(board: Board, box: Box, scene: Scene) -> str:
    return _grip(board, scene.chord, box)


def _waiting(board: Board, box: Box, scene: Scene) -> str:
    return _grip(board, scene.coming, box)


def _grip(board: Board, chord: Chord | None, box: Box) -> str:
    """Return a grip as large as its box, standing at its left edge; an empty sheet for none."""
    if chord is None or chord.grip is None:
        return _sheet(board, box)
    fingers = board.fingers.get(chord.grip)
    drawn = _drawn(chord.grip, board.neck, fingers, board.colours, board.left_handed, box)
    return _sheet(board, box, drawn)


@lru_cache(maxsize=512)
def _drawn(
    grip: Grip, neck: Neck, fingers: tuple[Finger | None, ...] | None, colours: Palette,
    left_handed: bool, box: Box,
) -> str:  # fmt: skip
    """Return a grip as a nested picture that fills the height or the width of a box."""
    svg = diagram(
        grip, neck, fingers=fingers, weight="large", left_handed=left_handed, colours=colours
    )
    size = _SIZE.match(svg)
    assert size is not None
    wide, high = float(size[1]), float(size[2])
    scale = min(box.width / wide, box.height / high)
    inner = svg.replace(f'width="{size[1]}px"', f'width="{num(wide * scale)}"', 1)
    return inner.replace(f'height="{size[2]}px"', f'height="{num(high * scale)}"', 1)


def _now(board: Board, box: Box, scene: Scene) -> str:
    """Return the symbol of the chord held, or the word for none while the song goes on."""
    size = board.layout.symbol_px
    if scene.chord is None and scene.beat and not scene.beat.counting:
        middle = box.height / 2 + 0.33 * size / 2
        return _sheet(board, box, _words("rest", 0, middle, size / 2, board.colours.quiet))
    return _symbol(board, scene.chord, box, size, board.colours.ink)


def _coming(board: Board, box: Box, scene: Scene) -> str:
    return _symbol(board, scene.coming, box, board.layout.next_px, board.colours.quiet)


def _symbol(board: Board, chord: Chord | None, box: Box, size: float, colour: str) -> str:
    if chord is None:
        return _sheet(board, box)
    runs = chord_runs(chord)
    fitted = fit(runs, size, box.width)
    middle = box.height / 2 + 0.33 * fitted
    return _sheet(board, box, symbol_svg(runs, 0, middle, fitted, colour=colour, anchor="start"))


def _beat(board: Board, box: Box, scene: Scene) -> str:
    """Return the beats of the bar as rules of their lengths; the one that sounds is heavy."""
    beat, colours = scene.beat, board.colours
    if beat is None:
        return _sheet(board, box)
    parts, at = [], 0.0
    gap = 16
    for number, length in enumerate(beat.lengths, start=1):
        wide = float(length / _total(beat.lengths)) * (box.width + gap) - gap
        now = number == beat.number
        high, colour = (34, colours.accent) if now else (8, colours.hairline)
        parts.append(element("rect", x=at, y=0, width=wide, height=high, rx=4, fill=colour))
        tint = colours.accent if now else colours.quiet
        parts.append(_words(str(number), at, 34 + 84, 84 if now else 60, tint))
        at += wide + gap
    return _sheet(board, box, *parts)


def _total(lengths: tuple[Quarters, ...]) -> Quarters:
    return sum(lengths, Quarters(0))
