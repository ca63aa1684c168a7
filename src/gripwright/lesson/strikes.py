"""Strikes: each motion of the right hand, with the chord it falls on, over a row of bars.

The row is any sequence of bars with their places: as played (repeats unrolled) for sound, as
written for the score. A bar's pattern says when the hand moves; without one every struck chord
is one down stroke. A pushed chord moves the stroke of its written place to where it sounds, and
strokes in between already play the new chord.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from gripwright.beats import Quarters
from gripwright.lesson.model import Chord, ChordEvent, Lesson, Pattern, Stroke
from gripwright.lesson.swing import upbeat
from gripwright.lesson.unroll import PlayedBar


@dataclass(frozen=True, slots=True)
class Span:
    """The time in which a chord event holds: ``index`` counts events along the row.

    ``start`` is where it sounds (a push applied), ``end`` where the next event takes over.
    """

    index: int
    start: Quarters
    end: Quarters
    event: ChordEvent
    where: PlayedBar

    @property
    def chord(self) -> Chord | None:
        """Return the chord, None for a rest."""
        return self.event.chord


@dataclass(frozen=True, slots=True)
class Strike:
    """A stroke at its place in the row, on the chord that holds there.

    ``where`` is the bar it falls in; a push may put it in the bar before its chord's.
    """

    start: Quarters
    length: Quarters
    stroke: Stroke
    span: Span
    where: PlayedBar


def written_bars(lesson: Lesson) -> tuple[PlayedBar, ...]:
    """Return each bar of each part once, in the order of the file."""
    bars: list[PlayedBar] = []
    at = Fraction(0)
    for part in lesson.parts:
        for index, bar in enumerate(part.bars):
            bars.append(PlayedBar(part.name, 1, index, 1, at, bar))
            at += bar.length
    return tuple(bars)


def spans(bars: Sequence[PlayedBar]) -> tuple[Span, ...]:
    """Return the chord events of a row of bars with the time in which each holds.

    Their indexes are those of `gripwright.lesson.unroll.played_events` for a row as played.
    """
    found = [(where, event) for where in bars for event in where.bar.chords]
    starts = [max(Fraction(0), where.start + e.offset - e.push) for where, e in found]
    ends = [where.start + event.offset + event.length for where, event in found]
    for index in range(len(found) - 1):
        ends[index] = min(ends[index], starts[index + 1])
    return tuple(
        Span(index, start, end, event, where)
        for index, (start, end, (where, event)) in enumerate(zip(starts, ends, found, strict=True))
    )


def strikes(bars: Sequence[PlayedBar]) -> tuple[Strike, ...]:
    """Return every strike of a row of bars in order, rests left out.

    Strokes of several lanes (thumb and fingers) may share a place.
    """
    held = spans(bars)
    moves: _Moves = {}
    for start, length, stroke in _motions(bars):
        moves.setdefault(start, []).append((length, stroke))
    for span in held:
        if span.event.push and span.event.struck and span.chord is not None:
            _push(moves, span)
    begins = [span.start for span in held]
    barlines = [where.start for where in bars]
    found: list[Strike] = []
    for start in sorted(moves):
        index = bisect_right(begins, start) - 1
        if index >= 0 and start < held[index].end and held[index].chord is not None:
            where = bars[bisect_right(barlines, start) - 1]
            found.extend(
                Strike(start, length, how, held[index], where) for length, how in moves[start]
            )
    return tuple(_rung_on(strike, held) for strike in found)


def _rung_on(strike: Strike, held: Sequence[Span]) -> Strike:
    """Return a plain strike with the length of the unstruck chords that ring on after it."""
    if strike.where.bar.pattern is not None:
        return strike
    end = strike.start + strike.length
    for span in held[strike.span.index + 1 :]:
        if span.event.struck or span.start != end or span.where.bar.pattern is not None:
            break
        end = span.end
    return replace(strike, length=end - strike.start)


_Moves = dict[Quarters, list[tuple[Quarters, Stroke]]]


def _push(moves: _Moves, span: Span) -> None:
    """Move the strokes of a pushed chord to where it sounds, or put one there.

    A stroke that was there gives way, but plucked strings of another lane are played too.
    """
    written = span.where.start + span.event.offset
    plain = [(span.event.length, Stroke(span.event.offset, span.event.length, "down"))]
    moved = moves.pop(written, plain)
    kept = [
        (length, stroke)
        for length, stroke in moves.get(span.start, [])
        if stroke.kind == "pluck" and all(s.kind == "pluck" for _, s in moved)
    ]
    moves[span.start] = [(length + written - span.start, how) for length, how in moved] + kept


def _motions(bars: Sequence[PlayedBar]) -> Iterator[tuple[Quarters, Quarters, Stroke]]:
    """Yield (start, length, stroke) before any push."""
    phase = Fraction(0)
    before: PlayedBar | None = None
    for where in bars:
        pattern = where.bar.pattern
        if pattern is None:
            yield from _plain(where)
        else:
            goes_on = (
                before is not None
                and before.part == where.part
                and before.bar_index == where.bar_index - 1
                and before.bar.pattern == pattern
                and pattern.length > where.bar.length
            )
            phase = phase if goes_on else upbeat(where)
            yield from _tiled(where, pattern, phase)
            phase = (phase + where.bar.length) % pattern.length
        before = where


def _plain(where: PlayedBar) -> Iterator[tuple[Quarters, Quarters, Stroke]]:
    """Yield one down stroke for every struck chord."""
    for event in where.bar.chords:
        if event.struck and event.chord is not None:
            stroke = Stroke(event.offset, event.length, "down")
            yield where.start + event.offset, event.length, stroke


def _tiled(
    where: PlayedBar, pattern: Pattern, phase: Quarters
) -> Iterator[tuple[Quarters, Quarters, Stroke]]:
    """Yield the strokes of a pattern that fall in a bar, its repetitions end to end."""
    base = -phase
    while base < where.bar.length:
        for stroke in pattern.strokes:
            at = base + stroke.offset
            if 0 <= at < where.bar.length:
                length = min(stroke.length, where.bar.length - at)
                yield where.start + at, length, replace(stroke, offset=at)
        base += pattern.length
