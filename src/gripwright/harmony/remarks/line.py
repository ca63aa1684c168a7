"""Lines that creep by half steps under, in or over the chords, and basses that walk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from gripwright.harmony.claims import Claim
from gripwright.harmony.remarks.passage import Stop, symbols_of

LEAST = 3
LEAST_THROUGH = {-1: 4, 1: 5}  # what falls is heard sooner
LEAST_BASSES, LEAST_SLASHED = 5, 4

# Triads over their third, by what stands on that: with its fifth raised, or its sixth for a fifth.
_TURNED = {("maj", 4): "minor", ("min", 3): "major"}

# The way from bass to bass by the difference of their pitch classes, up positive.
_STEPS = {size: (size + 5) % 12 - 5 for size in range(-11, 12)}

_LANE = 16  # bits a stop, of which twelve are in use

_Line = tuple[int, tuple[int, ...]]  # where it starts, and its notes
_Triad = tuple[int, str]  # root and third


def runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a line of three or more half steps in one direction over one root and third."""
    kept = _triads(stops)
    start = 0
    for end in range(1, len(stops) + 1):
        if end < len(stops) and kept[end] == kept[start]:
            continue
        if end - start >= LEAST:
            yield from _over_one(start, stops[start:end])
        start = end


def _over_one(start: int, held: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell the lines over one triad, which stands from ``start`` on."""
    at = 0
    while at + LEAST <= len(held):
        line, sign = max(
            ((_line(held[at:], sign), sign) for sign in (-1, 1)), key=lambda way: len(way[0])
        )
        if len(line) >= LEAST:
            symbols = symbols_of(held[at : at + len(line)])
            yield start + at, Claim("changes.line", symbols, (sign, *line))
        at += max(1, len(line) - 1)


def _triads(stops: Sequence[Stop]) -> list[_Triad]:
    """Return the triad that each stop keeps: C/E after Em is that with its fifth raised."""
    kept: list[_Triad] = []
    for stop in stops:
        chord = stop.chord
        triad = (chord.root, chord.third)
        if chord.bass != chord.root and kept:
            turned = _TURNED.get((chord.kind, (chord.bass - chord.root) % 12), "")
            triad = kept[-1] if kept[-1] == (chord.bass, turned) else triad
        kept.append(triad)
    return kept


def through_runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a line of four or more half steps in one direction through changing chords.

    Of lines that run at the same time the longest is told, and none that the bass makes. One
    that stays over a triad for a while is the cliché over it, gone on.
    """
    told: list[range] = []
    kept = _triads(stops)
    found = [(sign, line) for sign in (-1, 1) for line in _lines(stops, sign)]
    for sign, (start, notes) in sorted(found, key=lambda one: -len(one[1][1])):
        place = range(start, start + len(notes))
        inside = stops[start : place.stop]
        free = not any(_overlap(place, other) for other in told)
        if free and _is_voice(notes, inside) and is_heard(notes, sign, inside):
            told.append(place)
            stays = max(len(list(held)) for _, held in groupby(kept[start : place.stop]))
            kind = "line" if stays >= LEAST else "line-through"
            yield start, Claim(f"changes.{kind}", symbols_of(inside), (sign, *notes))


def bass_runs(stops: Sequence[Stop]) -> Iterator[tuple[int, Claim]]:
    """Tell a bass that goes one way by half steps under five chords, or by steps with slashes."""
    basses = [stop.chord.bass for stop in stops]
    steps = [_STEPS[two - one] for one, two in pairwise(basses)]
    ways = [(step > 0) - (step < 0) if -3 < step < 3 else 0 for step in steps]
    start = 0
    for end in range(1, len(ways) + 1):
        if end < len(ways) and ways[end] == ways[start]:
            continue
        if ways[start] and end - start >= LEAST_SLASHED - 1:
            run = stops[start : end + 1]
            laments = list(_laments(run, start)) if ways[start] < 0 else []
            yield from laments
            if _walks(run, steps[start:end]) and start not in dict(laments):
                yield start, Claim("changes.bass-line", symbols_of(run), (ways[start],))
        start = end


def _laments(run: Sequence[Stop], at: int) -> Iterator[tuple[int, Claim]]:
    """Tell where a falling bass goes from a minor tonic to its fifth."""
    for start, stop in enumerate(run):
        place = stop.place
        if (
            place.degree == 0
            and place.chord.kind in ("min", "min7")
            and place.chord.bass == stop.chord.root
        ):
            above = [(one.chord.bass - stop.chord.root) % 12 for one in run]
            end = next((n for n in range(start + 3, len(run)) if above[n - 1 : n + 1] == [8, 7]), 0)
            if end:
                yield at + start, Claim("changes.lament", symbols_of(run[start : end + 1]))


def _walks(run: Sequence[Stop], steps: Sequence[int]) -> bool:
    """Return whether a bass that goes one way is worth telling."""
    if any(abs(step) > 2 for step in steps):
        return False
    slashed = any(stop.chord.bass != stop.chord.root for stop in run)
    creeps = all(abs(step) == 1 for step in steps)
    return len(run) >= (LEAST_SLASHED if slashed else LEAST_BASSES) and (slashed or creeps)


def _line(stops: Sequence[Stop], sign: int) -> tuple[int, ...]:
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

    All stops are looked at together: one number has a lane of bits for each, in which those of
    the notes are set on which a line of ``size`` notes arrives.
    """
    held = _packed([stop.chord.mask for stop in stops])
    ones = _packed([1] * len(stops))
    fresh = held & ~(held << _LANE)
    arriving, size = held, 1
    while arriving:
        longer = (_turned(arriving, sign, ones) << _LANE) & fresh
        if size >= LEAST_THROUGH[sign]:
            ends = arriving & ~longer & ~(_turned(longer, -sign, ones) >> _LANE)
            for at, note in _notes(ends):
                yield at - size + 1, _row(note, sign, size)
        arriving, size = longer, size + 1


def _packed(masks: Sequence[int]) -> int:
    """Return masks side by side in one number, the first in its lowest lane."""
    return int.from_bytes(b"".join(mask.to_bytes(_LANE // 8, "little") for mask in masks), "little")


def _turned(lanes: int, sign: int, ones: int) -> int:
    """Return lanes with every note a half step up or down; ``ones`` has the C of each."""
    if sign > 0:
        return (lanes << 1) & ones * 0xFFE | (lanes >> 11) & ones
    return (lanes >> 1) & ones * 0x7FF | (lanes & ones) << 11


def _notes(lanes: int) -> Iterator[tuple[int, int]]:
    """Yield the notes of lanes, each with the position of its stop, in order."""
    while lanes:
        low = lanes & -lanes
        yield divmod(low.bit_length() - 1, _LANE)
        lanes ^= low


def _row(last: int, sign: int, size: int) -> tuple[int, ...]:
    """Return the notes of a line that ends on a note."""
    return tuple((last - sign * back) % 12 for back in reversed(range(size)))


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
