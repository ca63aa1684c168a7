"""Compare what `grips` shows first, and at which level, with what a teacher shows first.

Run ``python evaluation/hand_first.py``. It reads ``hand_first.txt`` and ``hand_first_dev.txt``
(common practice, no source; the second was tuned with) and prints, at full level, how many
symbols have one of the teacher's grips among the first three and first ten that people are shown
and among the first ten by effort alone; then how many of the grips of the first list are open
from the level that it says and shut below it; and what is missed.
"""

from __future__ import annotations

from pathlib import Path

from gripwright.theory.symbol import parse_symbol
from gripwright.voicing.levels import LEVELS
from gripwright.voicing.limits import Limits
from gripwright.voicing.search import find_grips, pick_different

FIRST = Path(__file__).with_name("hand_first.txt")
TUNED_WITH = Path(__file__).with_name("hand_first_dev.txt")
Wanted = dict[str, int]


def shown_first(path: Path) -> list[tuple[str, Wanted]]:
    """Return each symbol with the teacher's grips and the level of each, 0 where none is said."""
    rows = []
    for line in path.read_text(encoding="utf-8").splitlines():
        symbol, *words = line.split()
        if symbol == "#":
            continue
        want, level = {}, 0
        for word in words:
            if len(word) == 1:
                level = int(word)
            else:
                want[word] = level
        rows.append((symbol, want))
    return rows


def first_ones(rows: list[tuple[str, Wanted]]) -> list[str]:
    """Print how many symbols are shown a teacher's grip first; return what is missed."""
    three = ten = easiest = 0
    missed = []
    for text, want in rows:
        found = find_grips(parse_symbol(text))
        shown = [one.grip.text for one in pick_different(found, 10)]
        three += any(grip in want for grip in shown[:3])
        ten += any(grip in want for grip in shown)
        easiest += any(one.grip.text in want for one in found[:10])
        if not any(grip in want for grip in shown[:3]):
            missed.append(f"{text}: {' '.join(want)} not in {' '.join(shown[:5])}")
    print(f"first three   {three} of {len(rows)} symbols")
    print(f"first ten     {ten} of {len(rows)}")
    print(f"by effort     {easiest} of {len(rows)} among the ten easiest")
    return missed


def levels(rows: list[tuple[str, Wanted]]) -> list[str]:
    """Print how many grips are open from their level on; return those that are not."""
    late = early = 0
    missed = []
    for text, want in rows:
        symbol = parse_symbol(text)
        for level in LEVELS:
            open_ = {one.grip.text for one in find_grips(symbol, limits=Limits(level=level))}
            for grip, at in want.items():
                late += level == at and grip not in open_
                early += level == at - 1 and grip in open_
                if (level >= at) != (grip in open_):
                    missed.append(f"{text}: {grip} at level {level}, wanted from {at}")
    grips = sum(len(want) for _, want in rows)
    print(f"levels        {grips - late} of {grips} grips open in time, {early} a level early")
    return missed


def main() -> None:
    """Print the counts and what is missed."""
    print(TUNED_WITH.name)
    tuned = first_ones(shown_first(TUNED_WITH))
    print(FIRST.name)
    rows = shown_first(FIRST)
    missed = [*first_ones(rows), *levels(rows)]
    print("\n".join([*missed, *tuned]))


if __name__ == "__main__":
    main()
