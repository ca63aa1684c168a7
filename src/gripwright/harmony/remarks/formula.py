"""Formulas of several chords: two-five-ones, turnarounds, chains of dominants, cycles of thirds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.diatonic import leaves
from gripwright.harmony.remarks.passage import Stop, symbols_of
from gripwright.theory.scale import Key

_TWO, _FIVE = ("min", "min7", "dim", "hdim"), ("maj", "7")
_ONE = ("maj", "maj7", "min", "min7")
# A turnaround above the tonic, chord by chord: the roots and the kinds that they may have.
_ROUND: tuple[dict[int, tuple[str, ...]], ...] = (
    {0: ("maj", "maj7", "min", "min7", "7", "other"), 4: ("min", "min7", "hdim")},
    {9: ("min", "min7", "7", "hdim"), 3: ("7", "maj7", "dim7", "min7")},
    {2: ("min", "min7", "hdim", "7"), 8: ("7", "maj7")},
    {7: ("maj", "7", "other"), 1: ("7", "maj7")},
    {0: ("maj", "maj7", "min", "min7", "7", "other"), 4: ("min", "min7")},
)
# What a cycle of thirds goes through: tonics with dominants between them, or bare chords.
_STATIONS = {2: ("maj", "maj7"), 1: ("maj", "maj7", "min", "min7")}
_LEAST_CHAIN = 3
LEAST_CIRCLE = 5


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell where a formula starts."""
    starts, heads = _heads(stops)
    for at in range(len(heads) - 2):
        place = heads[at].place
        if place.chord.kind in _TWO:
            fall = _root_fall(heads[at], heads[at + 1])
            if fall == 7 and heads[at + 1].chord.kind in _FIVE:
                first = stops[starts[at + 2]]
                one = heads[at + 2] if first.chord.third == "other" else first
                yield from _two_five(starts[at], (*heads[at : at + 2], one))
            elif fall == 1 and _is_two_sub_one(heads[at : at + 3]):
                claim = _claim("two-sub-one", heads[at : at + 3], _local_key(heads[at + 2]))
                yield starts[at], claim
        if place.degree in (0, 4) and heads[at + 1].place.degree in (3, 9):
            five = heads[at : at + 5]
            if _is_turnaround(five):
                yield starts[at], _claim("turnaround", five, five[-1].place.key)
    falls = [_root_fall(one, two) for one, two in pairwise(stops)]
    yield from _chains(stops, falls)
    yield from _circles(stops, falls)
    yield from _cycles(stops, falls)


def _heads(stops: Sequence[Stop]) -> tuple[list[int], list[Stop]]:
    """Return where chords on new roots start, and of each root the chord that it comes to.

    A chord that stays on its root with the same third, or after a suspension, goes on.
    """
    starts: list[int] = []
    heads: list[Stop] = []
    for position, stop in enumerate(stops):
        last = heads[-1].chord if heads else None
        same = last is not None and last.root == stop.chord.root
        if same and last is not None and "other" in (last.third, stop.chord.third):
            heads[-1] = stop if stop.chord.third != "other" else heads[-1]
        elif same and last is not None and last.third == stop.chord.third:
            heads[-1] = stop
        else:
            starts.append(position)
            heads.append(stop)
    return starts, heads


def _claim(kind: str, stops: Sequence[Stop], *args: Key) -> Claim:
    return Claim(f"changes.{kind}", symbols_of(stops), args)


def _two_five(at: int, three: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a two and five by what follows: their one, a dominant in its place, or another."""
    two, five, one = (stop.place for stop in three)
    reached = (five.chord.root - one.chord.root) % 12 == 7
    sevenths = two.chord.kind != "min" and five.chord.dominant  # enough to be heard as such
    at_home = one.degree == 0
    if reached and (sevenths or at_home):
        if one.chord.kind in _ONE or (one.rests and at_home):
            yield at, _claim("two-five-one", three, _local_key(three[2]))
        elif one.chord.dominant:
            yield at, _claim("two-five", three)
    elif sevenths and not reached and _is_foreign(three):
        yield at, _claim("two-five-unresolved", three)


def _is_foreign(three: Sequence[Stop]) -> bool:
    """Return whether a two and five lead elsewhere than home, and not by the back door."""
    two, five, after = (stop.place for stop in three)
    goal = (five.degree + 5) % 12
    backdoor = five.degree == 10 and after.degree in (0, 4)
    vamp = after.chord.root == two.chord.root or two.degree == 0
    return goal != 0 and not backdoor and not vamp and leaves(five.chord, five.key)


def _local_key(one: Stop) -> Key:
    """Return the key of a two-five-one: the key's own at home, else that of its goal."""
    mode = "major" if one.chord.third == "major" else "minor"
    return Key(one.chord.symbol.root, mode) if one.place.degree else one.place.key


def _is_two_sub_one(three: Sequence[Stop]) -> bool:
    """Return whether a two and a substitute come home, or go abroad to the one of that two."""
    two, sub, one = (stop.chord for stop in three)
    own = (two.kind, one.third) in (("min7", "major"), ("hdim", "minor"))
    home = own or three[2].place.degree == 0
    return sub.dominant and home and one.kind in _ONE and (sub.root - one.root) % 12 == 1


def _is_turnaround(five: Sequence[Stop]) -> bool:
    """Return whether five chords go round from the tonic to the tonic, by a way in use."""
    if len(five) < 5 or len({stop.place.key for stop in five}) > 1:
        return False
    places = [stop.place.degree for stop in five]
    kinds = all(
        stop.chord.kind in allowed.get(place, ())
        for stop, place, allowed in zip(five, places, _ROUND, strict=True)
    )
    return kinds and (places[2] == 2 or places[1] == 3) and len(set(places[:4])) == 4


def _chains(stops: Sequence[Stop], falls: Sequence[int]) -> Iterator[tuple[int, Claim]]:
    """Tell three dominants or more that fall by fifths or half steps, with what they reach."""
    start = 0
    for at, stop in enumerate(stops, 1):
        leads = stop.chord.dominant and at < len(stops) and falls[at - 1] in (1, 7)
        if leads and not stop.place.rests:
            continue
        if at - 1 - start >= _LEAST_CHAIN:
            yield start, _claim("dominant-chain", stops[start:at])
        start = at


def _circles(stops: Sequence[Stop], falls: Sequence[int]) -> Iterator[tuple[int, Claim]]:
    """Tell five chords or more, not all dominants, whose roots fall by fifths."""
    start, narrow = 0, 0
    for at, fall in enumerate((*falls, None), 1):
        if fall == 7:
            continue
        if fall == 6:
            narrow += 1
            if narrow == 1 and _within_key(stops[at - 1 : at + 1]):
                continue
        if at - start >= LEAST_CIRCLE and not _has_chain(stops[start:at]):
            yield start, _claim("circle", stops[start:at])
        start, narrow = at, 0


def _has_chain(run: Sequence[Stop]) -> bool:
    """Return whether dominants follow each other in a run: that says more than the circle."""
    rows = (len(list(row)) for dominant, row in groupby(s.chord.dominant for s in run) if dominant)
    return max(rows, default=0) >= _LEAST_CHAIN


def _root_fall(one: Stop, two: Stop) -> int:
    return (one.chord.root - two.chord.root) % 12


def _within_key(pair: Sequence[Stop]) -> bool:
    return not any(leaves(stop.chord, stop.place.key) for stop in pair)


def _cycles(stops: Sequence[Stop], falls: Sequence[int]) -> Iterator[tuple[int, Claim]]:
    """Tell three tonics or more in equal thirds: by their dominants, or major thirds alone."""
    for stride in (2, 1):
        at = 0
        while at + 2 * stride < len(stops):
            may = falls[at + 1] == 7 if stride == 2 else falls[at] in (4, 8)
            if not may or stops[at].chord.kind not in _STATIONS[stride]:
                at += 1
                continue
            end = _cycle_end(stops, at, stride)
            if end - at >= 2 * stride and _is_round(stops[at : end + 1 : stride], stride):
                yield at, _claim("thirds-cycle", stops[at : end + 1])
                at = end
            else:
                at += 1


def _cycle_end(stops: Sequence[Stop], start: int, stride: int) -> int:
    """Return the position of the last station of a cycle of thirds from a start."""
    step, at = None, start
    while at + stride < len(stops):
        one, two = stops[at].chord, stops[at + stride].chord
        size = (two.root - one.root) % 12
        sizes = (4, 8) if stride == 1 else (3, 4, 8, 9)
        if size not in sizes or step not in (None, size) or one.kind not in _STATIONS[stride]:
            break
        if stride == 1 and one.symbol.quality != two.symbol.quality:
            break
        five = stops[at + 1].chord
        if stride == 2 and not (five.dominant and (five.root - two.root) % 12 == 7):
            break
        step, at = size, at + stride
    return at


def _is_round(stations: Sequence[Stop], stride: int) -> bool:
    """Return whether a cycle has three roots: bare, it must come round to where it began."""
    roots = [stop.chord.root for stop in stations]
    return len(set(roots)) >= 3 and (stride == 2 or roots[0] == roots[-1] or len(roots) > 3)
