"""The right hand: which strings of a grip a stroke plays, and in which order.

A pattern is written for any grip, so it may name a string that the grip at hand does not
sound. Then the nearest sounding string that the stroke has not taken yet is played; between
two as near, a string of the lower half takes the one on the bass side, a string of the upper
half the one on the treble side, so that thumb notes stay low and finger notes high. A stroke
that has no string left plays fewer.
"""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.lesson.model import Stroke
from gripwright.neck.grip import Sounding

# Fingers from the thumb to the ring finger take strings from the treble side in this order.
_FINGER_PLACE = {"a": 0, "m": 1, "i": 2}


def played_strings(stroke: Stroke, sounding: Sequence[Sounding]) -> tuple[Sounding, ...]:
    """Return the strings that a stroke plays, in the order in which it reaches them.

    ``sounding`` comes bass side first, as `gripwright.neck.grip.soundings` gives it. Down
    strokes and rolls up go from the bass side, up strokes and rolls down from the treble side,
    plucked strings sound together (bass side first).
    """
    if stroke.strings:
        chosen = _nearest(stroke.strings, sounding, strum=stroke.kind in ("down", "up"))
    elif stroke.fingers:
        chosen = _by_finger(stroke.fingers, sounding)
    else:
        chosen = list(sounding)
    treble_first = stroke.kind in ("up", "roll-down")
    return tuple(sorted(chosen, key=lambda sound: sound.index, reverse=treble_first))


def _nearest(wanted: Sequence[int], sounding: Sequence[Sounding], *, strum: bool) -> list[Sounding]:
    """Return the sounding strings for the wanted numbers; a strum just skips muted ones."""
    free = {sound.string: sound for sound in sounding}
    chosen = [free.pop(string) for string in wanted if string in free]
    if strum and chosen:
        return chosen
    middle = (max((s.index + s.string for s in sounding), default=0) + 1) / 2
    played = {sound.string for sound in chosen}
    for string in wanted:
        if string in played or not free:
            continue
        lower_half = string > middle
        near = min(free, key=lambda have: (abs(have - string), -have if lower_half else have))
        chosen.append(free.pop(near))
        if strum:
            break
    return chosen


def _by_finger(fingers: Sequence[str], sounding: Sequence[Sounding]) -> list[Sounding]:
    """Return strings for p i m a: the thumb the lowest, a the highest, m and i below it."""
    from_treble = sorted(sounding, key=lambda sound: sound.string)
    chosen: dict[int, Sounding] = {}
    for finger in fingers:
        if not from_treble:
            break
        place = len(from_treble) - 1
        if finger != "p":
            place = min(_FINGER_PLACE.get(finger, 0), place)
        chosen[from_treble[place].string] = from_treble[place]
    return list(chosen.values())
