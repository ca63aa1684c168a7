"""Write what was heard as a lesson, to be corrected by the teacher.

Chords go to the nearest half beat of the beats heard; what is not sure is marked as a doubt,
with its place in the recording.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from gripwright.beats import Metre, Quarters, default_groups
from gripwright.errors import InputError
from gripwright.hearing.hear import HeardChord, HeardTake
from gripwright.lesson.model import Bar, Chord, ChordEvent, Doubt, Lesson, Part
from gripwright.neck.tuning import STANDARD_NECK, Neck

DOUBTFUL = 0.6
_EIGHTH = Fraction(1, 2)


def draft_lesson(take: HeardTake, title: str, neck: Neck = STANDARD_NECK) -> Lesson:
    """Return a lesson of one part whose chords fall where they were heard.

    Raises InputError where no beat was heard: without one there are no bars.
    """
    beats = take.beats
    if len(beats.beats_s) < 2:
        raise InputError(
            "no steady beat can be heard in the take, so its chords cannot be laid in bars",
            field="take", remedy="play it through with a beat, or write the chart by hand",
        )  # fmt: skip
    metre = _metre(beats.beats_a_bar, beats.division)
    placed = _placed(take)
    end = _step(take.chords[-1].end_s, take)
    bars = max(1, -int(-end // metre.length))
    part = Part("take", tuple(_bar(placed, index, metre) for index in range(bars)))
    return Lesson(
        title, Fraction(max(1, round(beats.tempo_bpm))), metre, neck=neck, key=take.key,
        parts=(part,), order=("take",),
    )  # fmt: skip


def _metre(count: int, division: int) -> Metre:
    """Return a metre of so many beats: quarters, or dotted quarters where they fall in thirds."""
    if division == 3:
        return Metre(3 * count, 8, default_groups(3 * count, 8))
    return Metre(count, 4, default_groups(count, 4))


def _step(second: float, take: HeardTake) -> Quarters:
    """Return the nearest eighth to a second in quarters, from the first downbeat at or before it.

    A beat is two eighths, or three where it falls into thirds.
    """
    beats = np.array(take.beats.beats_s)
    period = float(np.median(np.diff(beats)))
    if second < beats[0]:
        place = (second - beats[0]) / period
    elif second >= beats[-1]:
        place = len(beats) - 1 + (second - beats[-1]) / period
    else:
        place = float(np.interp(second, beats, np.arange(len(beats))))
    first = _downbeat_before_all(take)
    return Fraction(round((place - first) * take.beats.division)) * _EIGHTH


def _downbeat_before_all(take: HeardTake) -> int:
    """Return the number of the beat that opens the first bar; below 0 where it was not played."""
    beats, downbeats = take.beats.beats_s, take.beats.downbeats_s
    bar = take.beats.beats_a_bar
    first = beats.index(downbeats[0]) if downbeats else 0
    period = float(np.median(np.diff(beats)))
    while beats[0] + first * period > take.chords[0].start_s + 0.3 * period:
        first -= bar
    return first


def _placed(take: HeardTake) -> list[tuple[Quarters, HeardChord]]:
    """Return chords with their half beats; of two on one, the longer stays."""
    out: list[tuple[Quarters, HeardChord]] = []
    for chord in take.chords:
        at = max(_step(chord.start_s, take), Fraction(0))
        if out and out[-1][0] == at:
            before = out[-1][1]
            if chord.end_s - chord.start_s > before.end_s - before.start_s:
                out[-1] = (at, chord)
        else:
            out.append((at, chord))
    return out


def _bar(placed: list[tuple[Quarters, HeardChord]], index: int, metre: Metre) -> Bar:
    start = metre.length * index
    end = start + metre.length
    events: list[ChordEvent] = []
    before = [item for item in placed if item[0] < start]
    inside = [item for item in placed if start <= item[0] < end]
    if not inside or inside[0][0] > start:
        upto = inside[0][0] if inside else end
        chord = _chord(before[-1][1]) if before else None
        events.append(ChordEvent(Fraction(0), upto - start, chord, struck=chord is None))
    for place, (at, heard) in enumerate(inside):
        upto = inside[place + 1][0] if place + 1 < len(inside) else end
        events.append(ChordEvent(at - start, upto - at, _chord(heard)))
    return Bar(metre, metre.length, tuple(events))


def _chord(heard: HeardChord) -> Chord | None:
    """Return the chord of a chart, grip and name joined, in doubt where hearing is.

    None, a rest, where no grip makes what was heard.
    """
    symbol = heard.reading.symbol if heard.reading else None
    doubt = Doubt(round(heard.start_s, 2)) if heard.confidence < DOUBTFUL else None
    if heard.grip is None:
        return None
    name = f"{heard.grip.text}={symbol.text}" if symbol else heard.grip.text
    return Chord(name, symbol, heard.grip, doubt=doubt)
