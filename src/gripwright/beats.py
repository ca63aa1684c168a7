"""Exact musical time.

`Quarters` is a fraction of quarter notes. A metre says how long a bar is and what a beat is:
``4/4`` has four beats of one quarter, ``6/8`` two of a dotted quarter, ``7/8 = 2+2+3`` three
beats of 1, 1 and 3/2 quarters. Seconds never appear here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from gripwright.errors import InputError

Quarters = Fraction
_METRE = re.compile(r"(\d+)\s*/\s*(\d+)(?:\s*=\s*(\d+(?:\s*\+\s*\d+)*))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Metre:
    """A metre: ``count`` units of ``1/unit``, grouped in beats of ``groups`` units each.

    >>> parse_metre("7/8 = 2+2+3").beats
    (Fraction(1, 1), Fraction(1, 1), Fraction(3, 2))
    """

    count: int = 4
    unit: int = 4
    groups: tuple[int, ...] = (1, 1, 1, 1)

    @property
    def beats(self) -> tuple[Quarters, ...]:
        """Return the length of each beat in quarters."""
        return _beats(self.groups, self.unit)

    @property
    def length(self) -> Quarters:
        """Return the length of a bar in quarters."""
        return Fraction(4 * self.count, self.unit)

    @property
    def beat_starts(self) -> tuple[Quarters, ...]:
        """Return where each beat starts in the bar, in quarters."""
        starts, at = [], Fraction(0)
        for beat in self.beats:
            starts.append(at)
            at += beat
        return tuple(starts)

    @property
    def text(self) -> str:
        """Return the writing that `parse_metre` reads back."""
        plain = f"{self.count}/{self.unit}"
        if self.groups == default_groups(self.count, self.unit):
            return plain
        return f"{plain} = {'+'.join(map(str, self.groups))}"

    def beat_at(self, offset: Quarters) -> Fraction:
        """Return the 1-based beat of an offset in the bar; fractions lie between beats."""
        for index, (start, beat) in enumerate(zip(self.beat_starts, self.beats, strict=True)):
            if offset < start + beat:
                return index + 1 + (offset - start) / beat
        return len(self.groups) + 1 + (offset - self.length) / self.beats[-1]


@lru_cache(maxsize=256)
def _beats(groups: tuple[int, ...], unit: int) -> tuple[Quarters, ...]:
    return tuple(Fraction(4 * group, unit) for group in groups)


def default_groups(count: int, unit: int) -> tuple[int, ...]:
    """Return the usual beats: compound metres (6, 9, 12 over 8 or 16) in threes, else ones."""
    if unit >= 8 and count % 3 == 0 and count > 3:
        return (3,) * (count // 3)
    return (1,) * count


def parse_metre(text: str) -> Metre:
    """Read a metre, ``3/4`` or ``7/8 = 2+2+3``.

    Raises InputError when it is no metre or its groups do not add up.
    """
    match = _METRE.fullmatch(text.strip())
    remedy = "write beats over unit, such as 4/4, and uneven beats as 7/8 = 2+2+3"
    if not match:
        raise InputError(f"{text!r} is not a metre", field="metre", remedy=remedy)
    count, unit = int(match[1]), int(match[2])
    if not 1 <= count <= 64 or unit not in (1, 2, 4, 8, 16, 32):
        raise InputError(f"{text!r} is not a metre", field="metre", remedy=remedy)
    if match[3] is None:
        return Metre(count, unit, default_groups(count, unit))
    groups = tuple(int(part) for part in match[3].split("+"))
    if sum(groups) != count or 0 in groups:
        raise InputError(
            f"the beats {match[3]} add up to {sum(groups)}, the metre has {count}",
            field="metre", remedy=remedy,
        )  # fmt: skip
    return Metre(count, unit, groups)
