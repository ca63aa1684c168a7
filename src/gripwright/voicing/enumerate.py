"""Every grip that sounds a wish within limits, before any hand is asked.

The neck is cut between its strings in two halves. For each lowest pressed fret, each half
lists what it can play in the span; halves are sorted by the pitch classes they sound, and only
those are joined that sound everything together. Each grip comes once: its lowest pressed fret
is the one of the pass that finds it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from gripwright.neck.tuning import MAX_FRET, Neck
from gripwright.voicing.limits import Limits
from gripwright.voicing.rules import Wish

Frets = tuple[int | None, ...]
_SILENT = 999


@dataclass(frozen=True, slots=True)
class _Half:
    """What one half of the strings plays: frets, pitches, the lowest and the highest."""

    frets: Frets
    midis: tuple[int, ...]
    low: int
    high: int
    touches: bool
    opens: bool


def enumerate_grips(wish: Wish, neck: Neck, limits: Limits) -> Iterator[Frets]:
    """Yield the frets of every grip that meets wish and limits (level aside), each once."""
    middle = len(neck) // 2
    for base in _bases(neck, limits):
        left = _halves(wish, neck, limits, range(middle), base)
        right = _halves(wish, neck, limits, range(middle, len(neck)), base)
        for one, lefts in left.items():
            for other, rights in right.items():
                if _complete(wish, one, other, limits):
                    yield from _joined(wish, limits, lefts, rights, base)


def _bases(neck: Neck, limits: Limits) -> Iterator[int]:
    """Yield the lowest pressed frets to try, counted from the nut; 0 for nothing pressed."""
    if limits.frets[0] == 0:
        yield 0
    lowest = min(neck.stops) + max(1, limits.frets[0])
    yield from range(lowest, min(MAX_FRET, max(neck.stops) + limits.frets[1]) + 1)


def _halves(
    wish: Wish, neck: Neck, limits: Limits, strings: range, base: int
) -> dict[int, list[_Half]]:
    """Return what some strings can play, by the set of notes that it sounds, as bits."""
    choices = [_choices(wish, neck, limits, index, base) for index in strings]
    found: dict[int, list[_Half]] = {}
    for combination in product(*choices):
        midis = tuple(midi for _, midi, _ in combination if midi != _SILENT)
        bits = 0
        for midi in midis:
            bits |= 1 << (midi if wish.midi is not None else midi % 12)
        if not limits.doubling and bits.bit_count() != len(midis):
            continue
        frets = tuple(fret for fret, _, _ in combination)
        found.setdefault(bits, []).append(
            _Half(
                frets, midis, min(midis, default=_SILENT), max(midis, default=-1),
                any(at == base for _, _, at in combination), 0 in frets,
            )
        )  # fmt: skip
    return found


def _choices(
    wish: Wish, neck: Neck, limits: Limits, index: int, base: int
) -> list[tuple[int | None, int, int]]:
    """Return (fret, pitch, fret from the nut) for one string; silence among them."""
    stop = neck.stops[index]
    if limits.strings is not None and index not in limits.strings:
        return [(None, _SILENT, -1)]
    low, high = limits.frets
    found: list[tuple[int | None, int, int]] = []
    if limits.strings is None:
        found.append((None, _SILENT, -1))
    if low == 0 and limits.open_strings != "none":
        found.append((0, neck.midi(index, 0), -1))
    if base:
        for at in range(max(base, stop + max(low, 1)), min(base + limits.span, MAX_FRET + 1)):
            if at - stop <= high:
                found.append((at - stop, neck.midi(index, at - stop), at))
    return [choice for choice in found if choice[1] == _SILENT or _may_sound(wish, choice[1])]


def _may_sound(wish: Wish, midi: int) -> bool:
    if wish.midi is not None:
        return midi in wish.midi
    return midi % 12 in wish.allowed or midi % 12 == wish.bass_only


def _complete(wish: Wish, one: int, other: int, limits: Limits) -> bool:
    """Tell whether two halves together sound all that is required."""
    bits = one | other
    if not limits.doubling and one & other:
        return False
    if wish.midi is not None:
        return bits.bit_count() == len(wish.midi)
    return all(bits >> pc & 1 for pc in wish.required) and all(
        any(bits >> pc & 1 for pc in group) for group in wish.one_of
    )


def _joined(
    wish: Wish, limits: Limits, lefts: list[_Half], rights: list[_Half], base: int
) -> Iterator[Frets]:
    fewest, most = limits.notes
    if wish.midi is not None:
        fewest = most = len(wish.midi)
    needs_open = limits.open_strings == "some"
    for left in lefts:
        for right in rights:
            if base and not (left.touches or right.touches):
                continue
            if not fewest <= len(left.midis) + len(right.midis) <= most:
                continue
            if needs_open and not (left.opens or right.opens):
                continue
            low, high = min(left.low, right.low), max(left.high, right.high)
            if not _edges_fit(wish, limits, low, high):
                continue
            if wish.bass_only is None or _only_lowest(wish.bass_only, left, right, low):
                yield left.frets + right.frets


def _only_lowest(bass_only: int, left: _Half, right: _Half, low: int) -> bool:
    """Tell whether a bass foreign to the chord sounds as the lowest note alone."""
    return all(midi == low for midi in left.midis + right.midis if midi % 12 == bass_only)


def _edges_fit(wish: Wish, limits: Limits, low: int, high: int) -> bool:
    if limits.bass is not None:
        if not limits.bass.fits(low):
            return False
    elif wish.basses is not None and low % 12 not in wish.basses:
        return False
    return limits.top is None or limits.top.fits(high)
