"""Lines that creep by half steps under, in or over the chords, and basses that walk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby, pairwise

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Stop, symbols_of

LEAST = 3
LEAST_THROUGH = {-1: 4, 1: 5}  # what falls is heard sooner
LEAST_BASSES, LEAST_SLASHED = 5, 4

# Triads over their third, by what stands on that: with its fifth raised, or its sixth for a fifth.
_TURNED = {("maj", 4): "minor", ("min", 3): "major"}

_Line = tuple[int, tuple[int, ...]]  # where it starts, and its notes
_Triad = tuple[int, str]  # root and third


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a line of three or more half steps in one direction over one root and third."""
    start = 0
    for _, group in groupby(zip(_triads(stops), stops, strict=True), key=lambda pair: pair[0]):
        held = [stop for _, stop in group]
        at = 0
        while at + LEAST <= len(held):
            line, sign = max(
                ((_line(held[at:], sign), sign) for sign in (-1, 1)), key=lambda way: len(way[0])
            )
            if len(line) >= LEAST:
                symbols = symbols_of(held[at : at + len(line)])
                yield start + at, Claim("changes.line", symbols, (sign, *line))
            at += max(1, len(line) - 1)
        start += len(held)


def _triads(stops: Sequence[Stop]) -> list[_Triad]:
    """Return the triad that each stop keeps: C/E after Em is that with its fifth raised."""
    kept: list[_Triad] = []
    for stop in stops:
        chord = stop.chord
        raised = (chord.bass, _TURNED.get((chord.kind, (chord.bass - chord.root) % 12), ""))
        kept.append(raised if kept and raised == kept[-1] else (chord.root, chord.third))
    return kept


def through_runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a line of four or more half steps in one direction through changing chords.

    Of lines that run at the same time the longest is told, and none that the bass makes.
    """
    told: list[range] = []
    found = [(sign, line) for sign in (-1, 1) for line in _lines(stops, sign)]
    for sign, (start, notes) in sorted(found, key=lambda one: -len(one[1][1])):
        place = range(start, start + len(notes))
        inside = stops[start : place.stop]
        free = not any(_overlap(place, other) for other in told)
        if free and _is_voice(notes, inside) and is_heard(notes, sign, inside):
            told.append(place)
            yield start, Claim("changes.line-through", symbols_of(inside), (sign, *notes))


def bass_runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a bass that goes one way by half steps under five chords, or by steps with slashes."""
    steps = [(two.chord.bass - one.chord.bass + 5) % 12 - 5 for one, two in pairwise(stops)]
    at = 0
    for way, group in groupby(steps, key=lambda step: (step > 0) - (step < 0) if step < 3 else 2):
        size = len(list(group))
        run = stops[at : at + size + 1]
        if way in (-1, 1) and _walks(run, steps[at : at + size]):
            yield at, Claim("changes.bass-line", symbols_of(run), (way,))
        if way == -1:
            yield from _laments(run, at)
        at += size


def _laments(run: Sequence[Stop], at: int) -> Iterator[tuple[int, Claim]]:
    """Tell where a falling bass goes from a minor tonic to its fifth."""
    for start, stop in enumerate(run):
        place = stop.place
        if (
            place.degree == 0
            and place.chord.third == "minor"
            and place.chord.bass == stop.chord.root
        ):
            ends = [n for n in range(start + 3, len(run)) if _is_fifth(run[n], place.chord.root)]
            if ends:
                yield at + start, Claim("changes.lament", symbols_of(run[start : ends[0] + 1]))


def _is_fifth(stop: Stop, tonic: int) -> bool:
    return (stop.chord.bass - tonic) % 12 == 7


def _walks(run: Sequence[Stop], steps: Sequence[int]) -> bool:
    """Return whether a bass that goes one way is worth telling."""
    if any(abs(step) > 2 for step in steps):
        return False
    slashed = any(stop.chord.bass != stop.chord.root for stop in run)
    creeps = all(abs(step) == 1 for step in steps)
    return len(run) >= (LEAST_SLASHED if slashed else LEAST_BASSES) and (slashed or creeps)


def _line(stops: list[Stop], sign: int) -> tuple[int, ...]:
    """Return the longest line of new notes that is heard from the first stop on."""
    best: tuple[int, ...] = ()
    for start in stops[0].chord.pcs:
        line = [start]
        for before, here in pairwise(stops):
            note = (line[-1] + sign) % 12
            if note not in here.chord.pcs or note in before.chord.pcs:
                break
            line.append(note)
        while len(line) >= LEAST and not is_heard(line, sign, stops[: len(line)]):
            line.pop()
        best = max(best, tuple(line), key=len)
    return best


def _lines(stops: Sequence[Stop], sign: int) -> Iterator[_Line]:
    """Yield the lines of half steps, each note new in its chord, that can be made no longer.

    A set of pitch classes is a mask of twelve bits; the n-th mask of a stop holds the notes on
    which a line of n + 1 notes arrives.
    """
    least, ending = LEAST_THROUGH[sign], [0]
    before = 0
    for at in range(len(stops) + 1):
        here = _mask(stops[at].chord.pcs) if at < len(stops) else 0
        arriving = [here]
        for held in ending:
            arriving.append(_turned(held, sign) & here & ~before)
            if not arriving[-1]:
                break
        for size in range(least, len(ending) + 1):
            longer = ending[size] if size < len(ending) else 0
            onward = _turned(arriving[size], -sign) if size < len(arriving) else 0
            for note in _notes(ending[size - 1] & ~longer & ~onward):
                notes = tuple((note - sign * back) % 12 for back in reversed(range(size)))
                yield at - size, notes
        ending, before = arriving, here


@lru_cache(maxsize=4096)
def _mask(pcs: frozenset[int]) -> int:
    return sum(1 << pc for pc in pcs)


def _turned(mask: int, sign: int) -> int:
    """Return a mask with every note a half step up or down."""
    return (mask << 1 | mask >> 11) & 0xFFF if sign > 0 else (mask >> 1 | mask << 11) & 0xFFF


def _notes(mask: int) -> list[int]:
    return [pc for pc in range(12) if mask >> pc & 1]


def _is_voice(notes: Sequence[int], stops: Sequence[Stop]) -> bool:
    """Return whether a line is a voice of its own: not the bass, nor one rich shape that moves."""
    first = stops[0].chord
    roots = {stop.chord.root for stop in stops}
    alike = all(stop.chord.symbol.quality == first.symbol.quality for stop in stops)
    shape = alike and len(first.above) > 3 and not first.dominant
    in_bass = all(stop.chord.bass == note for stop, note in zip(stops, notes, strict=True))
    return len(roots) > 1 and not in_bass and not shape


def is_heard(notes: Sequence[int], sign: int, stops: Sequence[Stop]) -> bool:
    """Return whether grips sound a line in one octave; without grips nothing is against it."""
    if not all(stop.heard for stop in stops):
        return True
    return any(
        all(midi + sign * at in stop.heard for at, stop in enumerate(stops))
        for midi in stops[0].heard
        if midi % 12 == notes[0]
    )


def _overlap(one: range, other: range) -> bool:
    return min(one.stop, other.stop) - max(one.start, other.start) > 1
