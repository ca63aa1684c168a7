"""Tempo maps: the one road from played quarters to seconds.

A map is a list of knots (quarters, seconds), both rising; between knots time runs straight,
outside them it goes on at the nearest slope.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from gripwright.beats import Metre, Quarters
from gripwright.errors import InputError


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Knots of (played quarters, seconds), at least two, both strictly rising.

    >>> steady(Fraction(120), Metre()).seconds(Fraction(4))
    2.0
    """

    knots: tuple[tuple[Quarters, float], ...]

    def __post_init__(self) -> None:
        rising = all(
            a[0] < b[0] and a[1] < b[1] for a, b in zip(self.knots, self.knots[1:], strict=False)
        )
        if len(self.knots) < 2 or not rising:
            raise InputError("a tempo map needs two or more knots, rising in both", field="knots")

    def seconds(self, at: Quarters) -> float:
        """Return the second at which a played quarter falls."""
        index = bisect_right(self.knots, at, key=lambda knot: knot[0]) - 1
        (q0, s0), (q1, s1) = self._segment(index)
        return s0 + float((at - q0) / (q1 - q0)) * (s1 - s0)

    def quarters(self, second: float) -> float:
        """Return the played quarter that falls at a second."""
        index = bisect_right(self.knots, second, key=lambda knot: knot[1]) - 1
        (q0, s0), (q1, s1) = self._segment(index)
        return float(q0) + (second - s0) / (s1 - s0) * float(q1 - q0)

    def _segment(self, index: int) -> tuple[tuple[Quarters, float], tuple[Quarters, float]]:
        index = min(max(index, 0), len(self.knots) - 2)
        return self.knots[index], self.knots[index + 1]

    def moved(self, seconds: float) -> TempoMap:
        """Return the map with every second moved later."""
        return TempoMap(tuple((at, second + seconds) for at, second in self.knots))


def steady(tempo_bpm: Fraction, metre: Metre, start_s: float = 0.0) -> TempoMap:
    """Return a map of steady tempo; a beat is the first beat of the metre."""
    beat = metre.beats[0]
    return TempoMap(((Fraction(0), start_s), (beat, start_s + float(60 / tempo_bpm))))
