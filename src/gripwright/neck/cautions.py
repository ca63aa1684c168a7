"""When to be careful of a hand, in plain words.

A caution says what strains and what to do about it: warm up, rest, stop if it hurts. It is
never a diagnosis; lasting pain belongs to a clinician.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

NEAR_LIMIT = 0.9
# A full barre held this long without a rest, and wide shifts this near to each other: the
# usual advice of teachers, common practice, no source.
LONG_BARRE_S = 20.0
WIDE_SHIFT_MM, QUICK_S, MANY_SHIFTS, WINDOW = 90.0, 1.0, 4, 8
ADVICE = "Warm up, rest often and stop if it hurts; see a clinician about pain that lasts."


def grip_cautions(openness: float) -> tuple[str, ...]:
    """Return the cautions of one grip; ``openness`` is 1 where two fingers are at their limit.

    >>> grip_cautions(0.5)
    ()
    """
    if openness < NEAR_LIMIT:
        return ()
    how = "beyond" if openness > 1 else "near"
    return (f"This opens the hand {how} the reach of the hand that was set. {ADVICE}",)


class _Barre(Protocol):
    @property
    def kind(self) -> str: ...


def chain_cautions(
    barres: Sequence[Sequence[_Barre]],
    lengths_s: Sequence[float],
    shifts_mm: Sequence[float],
    times_s: Sequence[float],
) -> tuple[str, ...]:
    """Return the cautions of a chain of grips.

    ``barres`` and ``lengths_s`` are one a grip, ``shifts_mm`` and ``times_s`` one a change.
    """
    found = []
    full = [any(barre.kind == "full" for barre in held) for held in barres]
    longest = _longest_run_s(full, lengths_s)
    if longest >= LONG_BARRE_S:
        found.append(
            f"A full barre is held for {longest:.0f} seconds without a rest. Let go between"
            f" strokes, or swap a grip for one without a barre. {ADVICE}"
        )
    wide = [
        abs(shift) >= WIDE_SHIFT_MM and time <= QUICK_S
        for shift, time in zip(shifts_mm, times_s, strict=True)
    ]
    if any(sum(wide[at : at + WINDOW]) >= MANY_SHIFTS for at in range(len(wide))):
        found.append(
            f"The hand makes {MANY_SHIFTS} or more wide shifts within {WINDOW} quick changes."
            f" Practise them slowly first. {ADVICE}"
        )
    return tuple(found)


def _longest_run_s(held: Sequence[bool], lengths_s: Sequence[float]) -> float:
    """Return the longest time that something is held without a break."""
    longest = current = 0.0
    for is_held, length in zip(held, lengths_s, strict=True):
        current = current + length if is_held else 0.0
        longest = max(longest, current)
    return longest
