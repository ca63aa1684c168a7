"""Formulas of several chords: the two-five-one and the turnaround."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import Facts
from gripwright.harmony.remarks.passage import Stop
from gripwright.theory.scale import Key

_ROUND = ({0, 4}, {9, 3}, {2, 8}, {7, 1}, {0})  # roots of a turnaround above the tonic
_TWO, _FIVE = ("min", "min7", "hdim"), ("maj", "7")
_ONE = ("maj", "maj7", "min", "min7")


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell where a formula starts."""
    for start, stop in enumerate(stops):
        three, five = stops[start : start + 3], stops[start : start + 5]
        if len(three) == 3 and _is_two_five_one(three):
            yield stop.index, _claim("two-five-one", three, _local_key(three[-1]))
        if len(three) == 3 and _is_two_sub_one(three):
            yield stop.index, _claim("two-sub-one", three)
        if len(five) == 5 and _is_turnaround(five):
            yield stop.index, _claim("turnaround", five)


def _claim(kind: str, stops: Sequence[Stop], key: Key | None = None) -> Claim:
    symbols = tuple(stop.chord.symbol for stop in stops)
    return Claim(f"changes.{kind}", symbols, (key or stops[-1].place.key,))


def _local_key(one: Stop) -> Key | None:
    """Return the key of a goal that is not the tonic, None at home."""
    mode = "major" if one.chord.third == "major" else "minor"
    return Key(one.chord.symbol.root, mode) if one.place.degree else None


def _is_two_five_one(stops: Sequence[Stop]) -> bool:
    two, five, one = (stop.chord for stop in stops)
    kinds = two.kind in _TWO and five.kind in _FIVE and one.kind in _ONE
    in_sevenths = two.kind != "min" and five.dominant  # enough to be heard away from home
    home = in_sevenths or stops[2].place.degree == 0
    return kinds and home and _roots((two, five), one) == [2, 7]


def _is_two_sub_one(stops: Sequence[Stop]) -> bool:
    two, sub, one = (stop.chord for stop in stops)
    kinds = two.kind in _TWO and sub.dominant and one.kind in _ONE
    return kinds and stops[2].place.degree == 0 and _roots((two, sub), one) == [2, 1]


def _is_turnaround(stops: Sequence[Stop]) -> bool:
    if stops[-1].place.degree or len({stop.place.key for stop in stops}) > 1:
        return False
    places = _roots([stop.chord for stop in stops], stops[-1].chord)
    return all(place in allowed for place, allowed in zip(places, _ROUND, strict=True))


def _roots(chords: Sequence[Facts], tonic: Facts) -> list[int]:
    return [(chord.root - tonic.root) % 12 for chord in chords]
