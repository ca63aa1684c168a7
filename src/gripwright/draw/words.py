"""Grips and changes in words, for a student who cannot see the diagram.

Strings are numbered as players say them: 1 is the treble side. Fingers are named thumb,
first, second, ring and little, so that nobody has to ask where counting starts.
"""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.lesson.model import Finger
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck, string_number

FINGERS: dict[Finger, str] = {
    "T": "thumb",
    "1": "first finger",
    "2": "second finger",
    "3": "ring finger",
    "4": "little finger",
}
Fingers = Sequence[Finger | None]


def grip_in_words(grip: Grip, neck: Neck, fingers: Fingers | None = None) -> str:
    """Say a grip string by string, bass side first, then what is not played.

    >>> from gripwright.neck.grip import parse_grip
    >>> from gripwright.neck.tuning import STANDARD_NECK
    >>> grip_in_words(parse_grip("x32010"), STANDARD_NECK, (None, "3", "2", None, "1", None))
    'string 5 fret 3, ring finger; string 4 fret 2, second finger; string 3 open; string 2 fret 1, first finger; string 1 open; do not play string 6'
    """  # noqa: E501
    count = len(grip)
    held = fingers or (None,) * count
    bars = _bars(grip, held)
    parts, said = [], set()
    for index, fret in enumerate(grip.frets):
        finger = held[index]
        if fret is None:
            continue
        if finger in bars and fret and bars[finger][2] == fret:
            if finger not in said:
                parts.append(_bar_text(finger, bars[finger], count))
                said.add(finger)
            continue
        parts.append(_string_text(string_number(index, count), fret, finger))
    silent = [string_number(index, count) for index, f in enumerate(grip.frets) if f is None]
    if silent:
        parts.append(f"do not play string{'s' if len(silent) > 1 else ''} {_list(silent)}")
    return "; ".join(parts) + _capo_text(neck)


def _bars(grip: Grip, fingers: Fingers) -> dict[Finger | None, tuple[int, int, int]]:
    """Return finger -> (first index, last index, fret) for fingers that hold several strings."""
    bars: dict[Finger | None, tuple[int, int, int]] = {}
    for finger in FINGERS:
        held = [i for i, f in enumerate(fingers) if f == finger and grip.frets[i]]
        frets = {grip.frets[i] for i in held}
        if len(held) > 1 and len(frets) == 1:
            bars[finger] = (held[0], held[-1], grip.frets[held[0]] or 0)
    return bars


def _bar_text(finger: Finger | None, bar: tuple[int, int, int], count: int) -> str:
    first, last, fret = bar
    strings = f"{string_number(first, count)} to {string_number(last, count)}"
    return f"{FINGERS[finger] if finger else 'one finger'} across strings {strings} at fret {fret}"


def _string_text(string: int, fret: int, finger: Finger | None) -> str:
    if not fret:
        return f"string {string} open"
    return f"string {string} fret {fret}" + (f", {FINGERS[finger]}" if finger else "")


def _capo_text(neck: Neck) -> str:
    if neck.capo:
        return f"; frets are counted from the capo at fret {neck.capo}"
    if neck.capo is None:
        count = len(neck)
        held = [
            f"string {string_number(index, count)} at fret {stop}"
            for index, stop in enumerate(neck.stops)
            if stop
        ]
        return f"; a partial capo stops {_list(held)}; frets are counted from it there"
    return ""


def _list(items: Sequence[object]) -> str:
    """Join with commas and a last *and*.

    >>> _list([6, 5, 1])
    '6, 5 and 1'
    """
    words = [str(item) for item in items]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def change_in_words(before: Grip, after: Grip, old: Fingers, new: Fingers) -> str:
    """Say what the hand does between two fingered grips, kept fingers first.

    ``old`` and ``new`` are the fingers of both, one entry a string, bass side first.

    >>> from gripwright.neck.grip import parse_grip
    >>> am, e = parse_grip("x02210"), parse_grip("022100")
    >>> f = (None, None, "2", "3", "1", None)
    >>> change_in_words(am, e, f, (None, "2", "3", "1", None, None))
    'move the first, second and ring fingers one string toward the bass side'
    """
    was, now = _places(before, old), _places(after, new)
    kept = [finger for finger in FINGERS if finger in now and was.get(finger) == now[finger]]
    moving = [
        finger for finger in FINGERS if finger in now and finger in was and finger not in kept
    ]
    parts = [f"keep the {_names(kept)}"] if kept else []
    parts += _moves(moving, was, now, others=bool(kept))
    set_down = [finger for finger in FINGERS if finger in now and finger not in was]
    parts += [f"set the {_names([f])} on {_place_text(now[f])}" for f in set_down]
    lifted = [finger for finger in FINGERS if finger in was and finger not in now]
    if lifted:
        parts.append(f"lift the {_names(lifted)}")
    return "; ".join(parts) or "the hand stays where it is"


Strings = tuple[tuple[int, int], ...]


def _places(grip: Grip, fingers: Fingers) -> dict[Finger, Strings]:
    """Return finger -> the (string, fret) pairs it holds, bass side first."""
    places: dict[Finger, Strings] = {}
    for index, finger in enumerate(fingers):
        fret = grip.frets[index]
        if finger and fret:
            string = string_number(index, len(grip))
            places[finger] = (*places.get(finger, ()), (string, fret))
    return places


def _moves(
    moving: Sequence[Finger],
    was: dict[Finger, Strings],
    now: dict[Finger, Strings],
    *,
    others: bool,
) -> list[str]:
    """Say the moves of fingers, those that move alike together."""
    alike: dict[tuple[int, int] | None, list[Finger]] = {}
    for finger in moving:
        alike.setdefault(_shift(was[finger], now[finger]), []).append(finger)
    parts = []
    for shift, fingers in alike.items():
        if shift is None:
            parts += [f"move the {_names([f])} to {_place_text(now[f])}" for f in fingers]
            continue
        if others and len(alike) == 1 and len(fingers) > 1:
            parts.append(f"the others move {_shift_text(shift)}")
        else:
            parts.append(f"move the {_names(fingers)} {_shift_text(shift)}")
    return parts


def _shift(was: Strings, now: Strings) -> tuple[int, int] | None:
    """Return the one (strings, frets) that takes a finger's places to the new ones, or None."""
    shifts = {(b[0] - a[0], b[1] - a[1]) for a, b in zip(was, now, strict=False)}
    return shifts.pop() if len(was) == len(now) and len(shifts) == 1 else None


_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def _shift_text(shift: tuple[int, int]) -> str:
    strings, frets = shift
    parts = []
    if frets:
        parts.append(f"{'up' if frets > 0 else 'down'} {_count(abs(frets), 'fret')}")
    if strings:
        side = "bass" if strings > 0 else "treble"
        parts.append(f"{_count(abs(strings), 'string')} toward the {side} side")
    return " and ".join(parts)


def _count(number: int, noun: str) -> str:
    word = _NUMBERS[number] if number < len(_NUMBERS) else str(number)
    return f"{word} {noun}{'' if number == 1 else 's'}"


def _names(fingers: Sequence[Finger]) -> str:
    """Name fingers together: ``first and ring fingers``, ``thumb and first finger``."""
    if len(fingers) == 1:
        return FINGERS[fingers[0]]
    shorts = [FINGERS[finger].removesuffix(" finger") for finger in fingers]
    plural = "s" if sum(finger != "T" for finger in fingers) > 1 else ""
    return f"{_list(shorts)} finger{plural}"


def _place_text(places: Strings) -> str:
    """Say where a finger goes: one string, or the strings that it lies across."""
    (first, fret), (last, _) = places[0], places[-1]
    if first == last:
        return f"string {first} fret {fret}"
    return f"strings {first} to {last} at fret {fret}"
