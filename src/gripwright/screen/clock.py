"""When things happen in a rendering: the count-in, the song, the ring-out, in seconds.

A rendering is the whole lesson played once at a share of its tempo. It starts with a bar
counted in; a pickup is counted up to: its missing beats come after that bar.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from gripwright.beats import Quarters
from gripwright.lesson.model import Lesson
from gripwright.lesson.swing import upbeat
from gripwright.lesson.unroll import PlayedBar, played_bars, total_quarters
from gripwright.timing import TempoMap, steady

RING_OUT_S = 2.5


@dataclass(frozen=True, slots=True)
class Clock:
    """The times of one rendering; ``tempo_map`` takes played quarters, 0 after the count-in.

    ``counts_s`` are the clicks of the count-in; ``end_s`` is where the written song ends and
    ``total_s`` where the rendering ends, both counted from the first click.
    """

    tempo_map: TempoMap
    counts_s: tuple[float, ...]
    end_s: float
    total_s: float


@dataclass(frozen=True, slots=True)
class Beat:
    """A beat as it is shown: which it is in its bar, in which bar of which part.

    ``number`` counts from 1 over ``lengths`` (in quarters). In the count-in ``counting`` is
    True and part and bar are those that will be first.
    """

    part: str
    bar: int
    bars: int
    number: int
    lengths: tuple[Quarters, ...]
    counting: bool = False


@dataclass(frozen=True, slots=True)
class Pulse:
    """A beat and the second at which it starts."""

    start_s: float
    beat: Beat


def clock(lesson: Lesson, speed: Fraction = Fraction(1)) -> Clock:
    """Return the times of a lesson played at ``speed`` times its tempo.

    >>> from gripwright.beats import Metre
    >>> from gripwright.lesson.model import Bar, Part
    >>> bar = Bar(Metre(), Fraction(4), ())
    >>> lesson = Lesson("", Fraction(120), parts=(Part("a", (bar,)),), order=("a",))
    >>> clock(lesson).counts_s, clock(lesson).end_s
    ((0.0, 0.5, 1.0, 1.5), 4.0)
    """
    plain = steady(lesson.tempo_bpm * speed, lesson.metre)
    counts, ahead = _count_in(lesson)
    ahead_s = plain.seconds(ahead)
    tempo_map = plain.moved(ahead_s)
    end_s = tempo_map.seconds(total_quarters(lesson))
    return Clock(
        tempo_map, tuple(plain.seconds(count) for count in counts), end_s, end_s + RING_OUT_S
    )


def _count_in(lesson: Lesson) -> tuple[tuple[Quarters, ...], Quarters]:
    """Return where the clicks of the count-in fall, and its length, in quarters."""
    first = next(played_bars(lesson), None)
    metre = first.bar.metre if first else lesson.metre
    starts = [*metre.beat_starts]
    length = metre.length
    missing = upbeat(first) if first else Fraction(0)
    starts += [length + start for start in metre.beat_starts if start < missing]
    return tuple(starts), length + missing


def pulses(lesson: Lesson, times: Clock) -> tuple[Pulse, ...]:
    """Return every beat of a rendering, those of the count-in first."""
    bars = tuple(played_bars(lesson))
    if not bars:
        return ()
    counted = [
        _pulse(lesson, bars[0], second, index % len(bars[0].bar.metre.beats), counting=True)
        for index, second in enumerate(times.counts_s)
    ]
    played = [
        _pulse(lesson, where, times.tempo_map.seconds(where.start + offset), index)
        for where in bars
        for index, offset in _beats(where)
    ]
    return (*counted, *played)


def _beats(where: PlayedBar) -> list[tuple[int, Quarters]]:
    """Return (0-based beat, offset) of the beats that start inside a bar.

    A bar shorter than its metre is a pickup at the start of a part, else it is cut at its end.
    """
    metre, length = where.bar.metre, where.bar.length
    skipped = upbeat(where)
    placed = [(index, start - skipped) for index, start in enumerate(metre.beat_starts)]
    inside = [(index, offset) for index, offset in placed if 0 <= offset < length]
    return inside or [(0, Fraction(0))]


def _pulse(
    lesson: Lesson, where: PlayedBar, start_s: float, index: int, *, counting: bool = False
) -> Pulse:
    bars = len(lesson.part(where.part).bars)
    lengths = where.bar.metre.beats
    beat = Beat(where.part, where.bar_index + 1, bars, index + 1, lengths, counting)
    return Pulse(start_s, beat)
