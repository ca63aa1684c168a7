"""Swing: where a written place falls once the beats are played unevenly.

`swing` is the share of a beat that the first of its two halves gets: 1/2 is straight, 2/3 the
triplet feel. Only beats of two halves swing (a dotted beat stays even), and only places on a
grid of halves and quarters move: a written triplet is already where it belongs.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from fractions import Fraction

from gripwright.beats import Metre, Quarters
from gripwright.lesson.model import Lesson
from gripwright.lesson.unroll import PlayedBar, played_bars

STRAIGHT = Fraction(1, 2)


def upbeat(where: PlayedBar) -> Quarters:
    """Return the quarters missing at the front of a bar: a pickup counts from its end."""
    missing = where.bar.metre.length - where.bar.length
    return missing if where.bar_index == 0 and missing > 0 else Fraction(0)


def swung(offset: Quarters, metre: Metre, swing: Fraction) -> Quarters:
    """Return where an offset in a full bar is played.

    >>> from gripwright.beats import Metre
    >>> swung(Fraction(3, 2), Metre(), Fraction(2, 3))
    Fraction(5, 3)
    """
    if swing == STRAIGHT:
        return offset
    for start, beat, group in zip(metre.beat_starts, metre.beats, metre.groups, strict=True):
        if start < offset < start + beat and group % 3:
            share = (offset - start) / beat
            if share.denominator % 3 == 0:
                return offset
            if share <= STRAIGHT:
                return start + beat * share * 2 * swing
            return start + beat * (swing + (share - STRAIGHT) * 2 * (1 - swing))
    return offset


class Groove:
    """From played quarters to performed quarters, over the bars of a song.

    Whatever must be in step with the sound (timeline, video, page) asks this one place.
    """

    def __init__(self, bars: Iterable[PlayedBar], swing: Fraction) -> None:
        self._bars = tuple(bars)
        self._starts = [where.start for where in self._bars]
        self._swing = swing

    def performed(self, at: Quarters) -> Quarters:
        """Return where a played place sounds."""
        index = bisect_right(self._starts, at) - 1
        if index < 0 or self._swing == STRAIGHT:
            return at
        where = self._bars[index]
        shift = upbeat(where)
        return where.start - shift + swung(at - where.start + shift, where.bar.metre, self._swing)


def groove(lesson: Lesson) -> Groove:
    """Return the groove of a lesson as played."""
    return Groove(played_bars(lesson), lesson.swing)
