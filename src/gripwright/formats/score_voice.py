"""One voice of a bar as written values: notes and rests, ties, tuplets and beams."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from gripwright.beats import Quarters
from gripwright.formats.rhythm import BarGrid, Piece
from gripwright.formats.score_items import Item, ScoreNote
from gripwright.lesson.swing import upbeat
from gripwright.lesson.unroll import PlayedBar

FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6}


@dataclass(frozen=True, slots=True)
class Value:
    """A written value with its notes (none: a rest) and how it is joined to others.

    ``beams`` has one word a level, ``tuplet`` is ``start``, ``stop`` or empty; ``first`` and
    ``last`` tell whether it opens and closes its item.
    """

    piece: Piece
    item: Item | None
    beams: tuple[str, ...] = ()
    tuplet: str = ""
    first: bool = True
    last: bool = True

    @property
    def notes(self) -> tuple[ScoreNote, ...]:
        """Return the notes with the ties between the values of one item."""
        if self.item is None:
            return ()
        return tuple(note.part(first=self.first, last=self.last) for note in self.item.notes)


def voice_values(where: PlayedBar, items: Sequence[Item]) -> tuple[Value, ...]:
    """Return a voice as written values that fill the bar."""
    bar = where.bar
    spans = tuple(_filled(items, bar.length))
    places = [place for offset, length, _ in spans for place in (offset, offset + length)]
    grid = BarGrid(bar.metre, bar.length, upbeat(where), places)
    values: list[Value] = []
    for offset, length, item in spans:
        pieces = grid.pieces(offset, length, rest=item is None)
        for index, piece in enumerate(pieces):
            first, last = index == 0, index == len(pieces) - 1
            values.append(Value(piece, item, first=first, last=last))
    return tuple(_bracketed(_beamed(values, grid)))


def _filled(
    items: Iterable[Item], length: Quarters
) -> Iterator[tuple[Quarters, Quarters, Item | None]]:
    """Yield (offset, length, item), with rests in between."""
    at = Quarters(0)
    for item in items:
        if item.offset > at:
            yield at, item.offset - at, None
        yield item.offset, item.length, item
        at = item.offset + item.length
    if at < length:
        yield at, length - at, None


def _beamed(values: Sequence[Value], grid: BarGrid) -> Iterator[Value]:
    """Yield values with beams: flagged notes of one beat in a row are joined."""

    def beat(value: Value) -> int:
        return sum(start <= value.piece.offset for start, _ in grid.beats)

    def group(value: Value) -> tuple[int, bool]:
        return beat(value), value.item is not None and value.piece.type in FLAGS

    for (_, joined), row in groupby(values, group):
        run = list(row)
        yield from _beam_run(run) if joined and len(run) > 1 else run


def _beam_run(run: Sequence[Value]) -> Iterator[Value]:
    flags = [FLAGS[value.piece.type] for value in run]
    for index, value in enumerate(run):
        words = []
        for level in range(1, flags[index] + 1):
            before = index > 0 and flags[index - 1] >= level
            after = index + 1 < len(run) and flags[index + 1] >= level
            hook = "backward hook" if index else "forward hook"
            words.append(
                "continue" if before and after else "begin" if after else "end" if before else hook
            )
        yield replace(value, beams=tuple(words))


def _bracketed(values: Iterable[Value]) -> Iterator[Value]:
    """Yield values with a bracket's start and stop at the ends of each tuplet."""

    def cell(value: Value) -> tuple[int, int]:
        piece = value.piece
        return (piece.actual, piece.cell) if piece.actual > 1 else (1, 0)

    for (actual, _), row in groupby(values, cell):
        run = list(row)
        if actual > 1 and len(run) > 1:
            run[0] = replace(run[0], tuplet="start")
            run[-1] = replace(run[-1], tuplet="stop")
        yield from run
