"""The chart of the practice page as HTML: bars in the order of playing, each a button."""

from __future__ import annotations

from html import escape
from itertools import groupby

from gripwright.draw.symbols import chord_runs
from gripwright.lesson.model import Chord
from gripwright.lesson.unroll import Played
from gripwright.screen.page_score import Song


def symbol_html(chord: Chord) -> str:
    """Return a chord's symbol as HTML, what is raised as ``sup``.

    >>> from gripwright.theory.symbol import parse_symbol
    >>> symbol_html(Chord("Ebmaj7", parse_symbol("Ebmaj7")))
    '<span class="sym">E♭<sup>maj7</sup></span>'
    """
    runs = "".join(
        f"<sup>{escape(run.text)}</sup>" if run.raised else escape(run.text)
        for run in chord_runs(chord)
    )
    return f'<span class="sym">{runs}</span>'


def chart_html(song: Song) -> str:
    """Return a section for each time a part comes by."""
    order = {where.start: index for index, where in enumerate(song.bars)}
    inside: dict[int, list[Played]] = {}
    for event in song.events:
        inside.setdefault(order[event.where.start], []).append(event)
    sections = []
    numbered = enumerate(song.bars)
    for (part, visit), rows in groupby(numbered, lambda row: (row[1].part, row[1].visit)):
        title = f"{part}, time {visit}" if visit > 1 else part
        bars = "".join(_bar(song, index, inside.get(index, [])) for index, _ in rows)
        heading = f"<h2>{escape(title)}</h2>"
        sections.append(f'<section class="part">{heading}<div class="bars">{bars}</div></section>')
    return "\n".join(sections)


def _bar(song: Song, index: int, events: list[Played]) -> str:
    where = song.bars[index]
    cells = " ".join(
        _event(event, events[place - 1].event.chord if place else None)
        for place, event in enumerate(events)
    )
    said = ", ".join(_said(event.event.chord) for event in events if event.event.struck) or "empty"
    label = f"{where.part}, bar {where.bar_index + 1}: {said}"
    return (
        f'<button type="button" data-bar="{index}" tabindex="-1" aria-label="{escape(label)}">'
        f"{cells}</button>"
    )


def _event(event: Played, before: Chord | None) -> str:
    chord = event.event.chord
    if chord is None:
        shown = '<span class="stroke">rest</span>'
    elif not event.event.struck:
        shown = '<span class="stroke">–</span>'
    elif chord == before:
        shown = '<span class="stroke">/</span>'
    else:
        shown = symbol_html(chord)
    length = float(event.event.length)
    return f'<span class="event" data-event="{event.index}" data-length="{length:g}">{shown}</span>'


def _said(chord: Chord | None) -> str:
    if chord is None:
        return "rest"
    return chord.symbol.pretty if chord.symbol else chord.name
