"""When to be careful of a hand, in plain words.

A caution says what strains and what to do about it: warm up, rest, stop if it hurts. It is
never a diagnosis; lasting pain belongs to a clinician.
"""

from __future__ import annotations

NEAR_LIMIT = 0.9
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
