"""From written to played: parts in their order, repeats and endings unrolled.

Played time is exact quarters from the first sound of the song (a pickup included); it knows
neither swing nor tempo. A push has not moved `Played.start`: it is kept beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from gripwright.beats import Quarters
from gripwright.lesson.model import Bar, ChordEvent, Lesson, Part


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar as it comes by: which part, its 0-based bar there, which pass, where it starts."""

    part: str
    visit: int
    bar_index: int
    pass_: int
    start: Quarters
    bar: Bar


@dataclass(frozen=True, slots=True)
class Played:
    """A chord event as it comes by, in the order of playing.

    ``index`` counts events from 0; ``beat`` is 1-based in the bar, exact.
    """

    index: int
    where: PlayedBar
    beat: Fraction
    event: ChordEvent

    @property
    def start(self) -> Quarters:
        """Return where it is written, in played quarters."""
        return self.where.start + self.event.offset

    @property
    def sounds_at(self) -> Quarters:
        """Return where it sounds: the written place less the push, never before 0."""
        return max(Fraction(0), self.start - self.event.push)

    @property
    def end(self) -> Quarters:
        """Return where its written length ends."""
        return self.start + self.event.length


def pass_order(part: Part) -> tuple[tuple[int, int], ...]:
    """Return (bar index, pass) of a part in playing order, repeats and endings unrolled."""
    return tuple(passes(part))


def passes(part: Part) -> Iterator[tuple[int, int]]:
    """Yield (bar index, pass) of a part in playing order, repeats and endings unrolled.

    A repeat closes at a bar with ``repeat_times`` above 1 and opens at the last
    ``repeat_start`` before it, or at the start of the part. A bar with endings is played only
    on those passes, 1-based.
    """
    start = 0
    index = 0
    pass_ = 1
    while index < len(part.bars):
        bar = part.bars[index]
        if bar.repeat_start and pass_ == 1:
            start = index
        if not bar.endings or pass_ in bar.endings:
            yield index, pass_
            if bar.repeat_times > pass_:
                pass_ += 1
                index = start
                continue
        at_end = bar.repeat_times > 1 or (bar.endings and pass_ in bar.endings)
        next_has_ending = index + 1 < len(part.bars) and part.bars[index + 1].endings
        if at_end and not next_has_ending:
            pass_, start = 1, index + 1
        index += 1


def played_bars(lesson: Lesson) -> Iterator[PlayedBar]:
    """Yield the bars in playing order."""
    at = Fraction(0)
    visits: dict[str, int] = {}
    for name in lesson.order:
        part = lesson.part(name)
        visits[name] = visits.get(name, 0) + 1
        for bar_index, pass_ in pass_order(part):
            bar = part.bars[bar_index]
            yield PlayedBar(name, visits[name], bar_index, pass_, at, bar)
            at += bar.length


def played_events(lesson: Lesson) -> tuple[Played, ...]:
    """Return the chord events in playing order."""
    events: list[Played] = []
    for where in played_bars(lesson):
        missing = where.bar.metre.length - where.bar.length
        shift = missing if where.bar_index == 0 and missing > 0 else Fraction(0)
        for event in where.bar.chords:
            beat = where.bar.metre.beat_at(event.offset + shift)
            events.append(Played(len(events), where, beat, event))
    return tuple(events)


def total_quarters(lesson: Lesson) -> Quarters:
    """Return the length of the song as played."""
    return sum((where.bar.length for where in played_bars(lesson)), Fraction(0))
