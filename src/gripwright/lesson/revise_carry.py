"""Carry chords about by hand: to another beat, bar or part, or by their edge.

A chord and the strokes right after it that strike it again go together: a *stay*. Nothing that
was in the chart is lost on the way: what is in the place gives way or shares its time, and a
later bar that leans on a changed one is written out in full. Each function returns the `Edit`
that does it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate

from gripwright.beats import Quarters
from gripwright.errors import InputError
from gripwright.lesson.edit import Edit, merged
from gripwright.lesson.grid import Ruler
from gripwright.lesson.model import Bar, ChordEvent
from gripwright.lesson.revise import Place, bar_at, bar_change, event_at
from gripwright.lesson.revise_bars import leaning
from gripwright.lesson.source import Span
from gripwright.lesson.text import Parsed

Stay = tuple[ChordEvent, ...]


def beats_of(bar: Bar) -> tuple[Quarters, ...]:
    """Return where the beats of a bar start, in quarters.

    >>> from gripwright.beats import parse_metre
    >>> beats_of(Bar(parse_metre("7/8 = 2+2+3"), Fraction(7, 2), ()))
    (Fraction(0, 1), Fraction(1, 1), Fraction(2, 1))
    """
    ruler = Ruler(bar.metre, bar.length)
    starts = [Fraction(0)]
    while (after := starts[-1] + ruler.step(starts[-1], 1)) < bar.length:
        starts.append(after)
    return tuple(starts)


def stays_of(chords: Sequence[ChordEvent]) -> list[Stay]:
    """Return the events of a bar in stays: a chord with the strokes that strike it again."""
    stays: list[Stay] = []
    for event in chords:
        plain = event.label is None and not event.push
        if stays and plain and event.struck and event.chord == stays[-1][0].chord:
            stays[-1] = (*stays[-1], event)
        else:
            stays.append((event,))
    return stays


def stays_with(bar: Bar, event: int) -> tuple[list[Stay], int]:
    """Return the stays of a bar, and which of them holds an event."""
    stays = stays_of(bar.chords)
    counts = [sum(map(len, stays[: number + 1])) for number in range(len(stays))]
    return stays, next(number for number, count in enumerate(counts) if event < count)


def carry_chord(
    text: str,
    parsed: Parsed,
    source: Place,
    part: str,
    index: int,
    *,
    at: Quarters,
    copy: bool = False,
) -> Edit:
    """Carry the chord at ``source``, its strokes with it, to ``at`` quarters of a bar.

    In its own bar it keeps its length as far as the place allows, and the others close up. In
    another bar it takes what is left of whatever sounds there; on the very start of another
    chord it goes before it and the two share the time. ``copy`` leaves the first where it is.
    """
    bar, goal = bar_at(parsed, source.part, source.bar), bar_at(parsed, part, index)
    event_at(parsed, source)
    if not 0 <= at < goal.length:
        raise InputError(
            f"bar {index + 1} of {part!r} does not reach {at}", field="at",
            remedy=f"give a place before {goal.length} quarters",
        )  # fmt: skip
    stays, number = stays_with(bar, source.event)
    held = tuple(replace(event, struck=True) for event in stays[number])
    here, there = (source.part, source.bar), (part, index)
    if copy:
        held = tuple(replace(event, label=None) for event in held)
        return _rewritten(text, parsed, {there: _shared(goal, held, at)})
    if here == there:
        return _rewritten(text, parsed, {here: _moved(stays, number, held, at)})
    changed = {here: _closed(stays, number), there: _shared(goal, held, at)}
    return _rewritten(text, parsed, changed)


def pass_chord(text: str, parsed: Parsed, place: Place, steps: int) -> Edit:
    """Let a chord change places with its neighbour: 1 the next one, -1 the one before.

    At the edge of its bar it goes to the first or the last beat of the bar beside.
    """
    event_at(parsed, place)
    stays, number = stays_with(bar_at(parsed, place.part, place.bar), place.event)
    if 0 <= number + steps < len(stays):
        stays.insert(number + steps, stays.pop(number))
        return _rewritten(text, parsed, {(place.part, place.bar): _in_a_row(stays)})
    index = place.bar + (1 if steps > 0 else -1)
    beats = beats_of(bar_at(parsed, place.part, index))
    at = beats[0] if steps > 0 else beats[-1]
    return carry_chord(text, parsed, place, place.part, index, at=at)


def end_chord(text: str, parsed: Parsed, place: Place, end: Quarters) -> Edit:
    """Let a chord, its strokes with it, end at ``end`` quarters of its bar.

    The next chord starts there, earlier or later than before; a rest is put after the last one.

    Raises InputError where the next chord would be covered, or the bar's end passed.
    """
    bar = bar_at(parsed, place.part, place.bar)
    event_at(parsed, place)
    stays, index = stays_with(bar, place.event)
    start = stays[index][0].offset
    after = stays[index + 1] if index + 1 < len(stays) else None
    limit = _end(after) if after else bar.length
    rests = after is None or after[0].chord is None
    if not start < end <= limit or (end == limit and not rests):
        raise InputError(
            "there is no room for this length between its neighbours", field="length",
            remedy="take a neighbour out first, or carry it to another bar",
        )  # fmt: skip
    new = [*stays[:index], _fitted(stays[index], start, end)]
    if after is None:
        new.append((ChordEvent(end, limit - end, None),) if end < limit else ())
    else:
        new.append(_fitted(after, end, limit))
    return _rewritten(text, parsed, {place[:2]: [*new, *stays[index + 2 :]]})


def _end(stay: Stay) -> Quarters:
    return stay[-1].offset + stay[-1].length


def _size(stay: Stay) -> Quarters:
    return _end(stay) - stay[0].offset


def _fitted(stay: Stay, start: Quarters, end: Quarters) -> Stay:
    """Return a stay laid from start to end: cut where it is longer, the last stroke rings on."""
    if start >= end:
        return ()
    shift = start - stay[0].offset
    laid = [replace(e, offset=e.offset + shift) for e in stay if e.offset + shift < end]
    return (*laid[:-1], replace(laid[-1], length=end - laid[-1].offset))


def _in_a_row(stays: list[Stay]) -> list[Stay]:
    """Return stays laid one after another from the start of the bar."""
    ends = list(accumulate(map(_size, stays)))
    return [_fitted(stay, end - _size(stay), end) for stay, end in zip(stays, ends, strict=True)]


def _closed(stays: list[Stay], index: int) -> list[Stay]:
    """Return the stays without one: the one before rings on, or the next comes earlier."""
    gone, left = stays[index], stays[:index] + stays[index + 1 :]
    if not left:
        return [(ChordEvent(gone[0].offset, _size(gone), None),)]
    if index:
        left[index - 1] = _fitted(left[index - 1], left[index - 1][0].offset, _end(gone))
    else:
        first, *others = left[0]
        longer = replace(first, offset=gone[0].offset, length=first.length + _size(gone))
        left[0] = (longer, *others)
    return left


def _moved(stays: list[Stay], index: int, held: Stay, at: Quarters) -> list[Stay]:
    """Return a bar's stays with one of them moved to start at ``at``, the others closed up."""
    length, rest = _end(stays[-1]), stays[:index] + stays[index + 1 :]
    if stays[index][0].offset <= at < _end(stays[index]):
        return _delayed(rest, held, at, _end(stays[index]))
    size, laid = _size(held), _in_a_row(rest)
    before = [stay for stay in laid if _end(stay) <= at]
    after = [stay for stay in laid if stay[0].offset >= at]
    later = [_fitted(stay, stay[0].offset + size, _end(stay) + size) for stay in after]
    cut = [stay for stay in laid if stay[0].offset < at < _end(stay)]
    if cut:
        (stay,) = cut
        end = _end(stay) + size
        stop = end if stay[0].chord else at + size
        halves = [_fitted(stay, stay[0].offset, at), _fitted(held, at, stop)]
        return [*before, *halves, _fitted(stay, stop, end), *later]
    if at > length - size:
        return [*_until(before, at), _fitted(held, at, length)]
    return [*before, _fitted(held, at, at + size), *later]


def _delayed(rest: list[Stay], held: Stay, at: Quarters, end: Quarters) -> list[Stay]:
    """Return a bar's stays with one of them starting later inside its own time."""
    before = _until([stay for stay in rest if _end(stay) < end], at)
    after = [stay for stay in rest if stay[0].offset >= end]
    if after and after[0][0].chord is None:
        stop = _end(after[0])
        end = min(at + _size(held), stop)
        after[0] = _fitted(after[0], end, stop)
    return [*before, _fitted(held, at, end), *after]


def _until(stays: list[Stay], end: Quarters) -> list[Stay]:
    """Return stays of which the last lasts until ``end``; silence where there is none."""
    if not stays:
        return [(ChordEvent(Fraction(0), end, None),)] if end else []
    return [*stays[:-1], _fitted(stays[-1], stays[-1][0].offset, end)]


def _shared(bar: Bar, held: Stay, at: Quarters) -> list[Stay]:
    """Return the stays of a bar with one more that starts at ``at``."""
    stays = stays_of(bar.chords) or [(ChordEvent(Fraction(0), bar.length, None),)]
    over = (i for i, stay in enumerate(stays) if stay[0].offset <= at < _end(stay))
    if (index := next(over, None)) is None:
        raise InputError(
            "that bar holds something that cannot be read, so no chord can be put there",
            field="at", remedy="mend what is told of the bar first",
        )  # fmt: skip
    stay, size = stays[index], _size(held)
    start, end = stay[0].offset, _end(stay)
    if stay[0].chord is None:
        stop = min(at + size, end)
    elif at > start:
        stop = end
    else:
        half = start + (end - start) / 2
        on_beat = max((beat for beat in beats_of(bar) if start < beat <= half), default=half)
        stop = min(on_beat, start + size)
    new = [_fitted(stay, start, at), _fitted(held, at, stop), _fitted(stay, stop, end)]
    return [*stays[:index], *new, *stays[index + 1 :]]


def _rewritten(text: str, parsed: Parsed, bars: dict[tuple[str, int], list[Stay]]) -> Edit:
    """Return the edit that writes bars anew, and those out in full that lean on them."""
    changes: dict[Span, str] = {}
    for part, index in bars:
        changes.update(leaning(text, parsed, part, index, index + 1))
    for (part, index), stays in bars.items():
        fresh = (part, index - 1) in bars
        events = [event for stay in stays for event in stay]
        struck = [replace(e, struck=e.struck or i > 0 or fresh) for i, e in enumerate(events)]
        span, new = bar_change(text, parsed, part, index, struck)
        changes[span] = new
    return merged(text, changes.items())
