"""Compare what `grips` shows first, and at which level, with what a teacher shows first.

Run ``python evaluation/hand_first.py``. It reads ``hand_first.txt`` (common practice, no
source) and prints, at full level, how many symbols have one of the teacher's grips among the
first three and first ten that people are shown and among the first ten by effort alone; then
how many of the grips are open from the level that the list says and shut below it; and what
is missed.
"""

from __future__ import annotations

from pathlib import Path

from gripwright.theory.symbol import parse_symbol
from gripwright.voicing.levels import LEVELS
from gripwright.voicing.limits import Limits
from gripwright.voicing.search import find_grips, pick_different

FIRST = Path(__file__).with_name("hand_first.txt")


def shown_first() -> list[tuple[str, dict[str, int]]]:
    """Return each symbol with the teacher's grips and the level of each."""
    lines = FIRST.read_text(encoding="utf-8").splitlines()
    rows = [line.split() for line in lines if line and not line.startswith("# ")]
    return [
        (symbol, dict(zip(rest[1::2], map(int, rest[::2]), strict=True))) for symbol, *rest in rows
    ]


def main() -> None:
    """Print the counts and what is missed."""
    rows = shown_first()
    three = ten = easiest = early = late = 0
    missed = []
    for text, want in rows:
        symbol = parse_symbol(text)
        found = find_grips(symbol)
        shown = [one.grip.text for one in pick_different(found, 10)]
        three += any(grip in want for grip in shown[:3])
        ten += any(grip in want for grip in shown)
        easiest += any(one.grip.text in want for one in found[:10])
        if not any(grip in want for grip in shown[:3]):
            missed.append(f"{text}: {' '.join(want)} not in {' '.join(shown[:5])}")
        for level in LEVELS:
            open_ = {one.grip.text for one in find_grips(symbol, limits=Limits(level=level))}
            for grip, at in want.items():
                late += level == at and grip not in open_
                early += level == at - 1 and grip in open_
                if (level >= at) != (grip in open_):
                    missed.append(f"{text}: {grip} at level {level}, wanted from {at}")
    grips = sum(len(want) for _, want in rows)
    print(f"first three   {three} of {len(rows)} symbols")
    print(f"first ten     {ten} of {len(rows)}")
    print(f"by effort     {easiest} of {len(rows)} among the ten easiest")
    print(f"levels        {grips - late} of {grips} grips open in time, {early} a level early")
    print("\n".join(missed))


if __name__ == "__main__":
    main()
