"""From the lesson to what sounds: every string that is struck, with its time and its manner.

Times are performed quarters: repeats unrolled, pushes and swing applied; a strum or a roll adds
seconds, the same at any tempo (common practice, no source). A string rings until it is struck
again, until the hand leaves its place on the neck, or until the chord ends; licks last as
written unless they are let ring. Where a lick and the chord want one string, the lick has it.
Human feel is none unless it is asked for.
"""

from __future__ import annotations

import random
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from gripwright.beats import Quarters
from gripwright.lesson.lick_sounds import lick_sounds
from gripwright.lesson.loudness import velocity
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.right_hand import played_strings
from gripwright.lesson.sound import Sound
from gripwright.lesson.strikes import Span, Strike, spans, strikes
from gripwright.lesson.swing import Groove
from gripwright.lesson.unroll import played_bars
from gripwright.neck.grip import Grip, soundings

STRUM_S, ROLL_S = 0.010, 0.045
_UP_FADE = 0.94  # an up stroke loses strength from string to string
_LEAST = Fraction(1, 64)


@dataclass(frozen=True, slots=True)
class Feel:
    """How unevenly a hand plays: spread of time in seconds and of loudness, and the seed."""

    time_s: float = 0.0
    loudness: float = 0.0
    seed: int = 0


EXACT = Feel()


def perform(
    lesson: Lesson,
    *,
    grips: Mapping[str, Grip] | None = None,
    strum_s: float = STRUM_S,
    roll_s: float = ROLL_S,
    feel: Feel = EXACT,
) -> tuple[Sound, ...]:
    """Return what sounds, in order of start.

    ``grips`` gives a grip to chords that have none, by their name in the chart; a chord without
    any is silent. ``strum_s`` and ``roll_s`` are the seconds from one string to the next.
    A pattern whose string the grip does not sound takes the nearest sensible one
    (`gripwright.lesson.right_hand`).
    """
    bars = tuple(played_bars(lesson))
    book = grips or {}
    struck = [
        sound
        for strike in strikes(bars)
        for sound in _strings(strike, lesson, book, (strum_s, roll_s))
    ]
    licks = lick_sounds(bars, lesson.neck)
    rung = [*_ring(struck, licks, spans(bars), book), *licks]
    grooved = _grooved(rung, Groove(bars, lesson.swing))
    return tuple(sorted(_felt(grooved, feel), key=lambda s: (s.start, s.delay_s, -s.string)))


def grip_of(chord: Chord | None, grips: Mapping[str, Grip]) -> Grip | None:
    """Return a chord's own grip, or the one that is given for its name."""
    if chord is None:
        return None
    return chord.grip or grips.get(chord.name)


def _strings(
    strike: Strike, lesson: Lesson, grips: Mapping[str, Grip], spread_s: tuple[float, float]
) -> Iterator[Sound]:
    """Yield the strings of one strike, spread in the direction of the stroke."""
    grip = grip_of(strike.span.chord, grips)
    if grip is None:
        return
    stroke, where = strike.stroke, strike.where
    step_s = {"pluck": 0.0, "down": spread_s[0], "up": spread_s[0]}.get(stroke.kind, spread_s[1])
    level = velocity(where, strike.start - where.start, accent=stroke.accent, ghost=stroke.ghost)
    for place, string in enumerate(played_strings(stroke, soundings(grip, lesson.neck))):
        fade = _UP_FADE**place if stroke.kind == "up" else 1.0
        yield Sound(
            strike.start, strike.length, string.string, string.fret, string.midi,
            round(level * fade, 4), stroke.kind, round(place * step_s, 6), strike.span.index,
        )  # fmt: skip


def _ring(
    struck: Sequence[Sound],
    licks: Sequence[Sound],
    held: Sequence[Span],
    grips: Mapping[str, Grip],
) -> Iterator[Sound]:
    """Yield the struck strings that no lick has, each as long as it rings."""
    starts: dict[int, list[Quarters]] = {}
    for sound in (*struck, *licks):
        starts.setdefault(sound.string, []).append(sound.start)
    for row in starts.values():
        row.sort()
    busy: dict[int, list[Sound]] = {}
    for lick in licks:
        busy.setdefault(lick.string, []).append(lick)
    once = {(sound.start, sound.string): sound for sound in reversed(struck)}
    for sound in reversed(once.values()):
        if any(lick.start <= sound.start < lick.end for lick in busy.get(sound.string, ())):
            continue
        row = starts[sound.string]
        after = bisect_right(row, sound.start)
        struck_again = row[after] if after < len(row) else None
        end = _left_at(sound, held, grips, struck_again)
        yield replace(sound, length=end - sound.start)


def _left_at(
    sound: Sound, held: Sequence[Span], grips: Mapping[str, Grip], struck_again: Quarters | None
) -> Quarters:
    """Return when the hand leaves a sound, by another grip, a rest or a gap, or strikes again."""
    assert sound.event is not None
    span = held[sound.event]
    for index in range(sound.event + 1, len(held)):
        if struck_again is not None and struck_again <= span.end:
            break
        later = held[index]
        grip = grip_of(later.chord, grips)
        if later.start > span.end or grip is None or grip.frets[-sound.string] != sound.fret:
            break
        span = later
    return span.end if struck_again is None else min(span.end, struck_again)


def _grooved(sounds: Iterable[Sound], groove: Groove) -> Iterator[Sound]:
    """Yield sounds moved from straight to swung time."""
    for sound in sounds:
        start, end = groove.performed(sound.start), groove.performed(sound.end)
        yield replace(sound, start=start, length=max(end - start, _LEAST))


def _felt(sounds: Iterable[Sound], feel: Feel) -> Iterator[Sound]:
    """Yield sounds played by a hand that is not quite even; the strings of a strike together."""
    if feel == EXACT:
        yield from sounds
        return
    chance = random.Random(feel.seed)
    late: dict[Quarters, float] = {}
    for sound in sorted(sounds, key=lambda s: (s.start, s.delay_s, -s.string)):
        if sound.start not in late:
            late[sound.start] = abs(chance.gauss(0.0, feel.time_s))
        louder = sound.velocity + chance.gauss(0.0, feel.loudness)
        yield replace(
            sound,
            delay_s=sound.delay_s + late[sound.start],
            velocity=min(1.0, max(0.05, louder)),
        )
