"""How long a lesson may play, and the signs that no text of a lesson may hold.

Both limits are our own: far above any song, low enough that a slip in ``order:`` is told at
once instead of being built for hours.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import islice

from gripwright.beats import Metre
from gripwright.lesson.model import Part
from gripwright.lesson.source import Report, Token
from gripwright.lesson.unroll import passes

MAX_PLAYED_BARS = 20_000
MAX_PLAYED_MINUTES = 120
MAX_SIGNS_TOLD = 20
# Embeddings, overrides and isolates of direction (Unicode Standard Annex 9, section 2), the
# separators U+2028 and U+2029, and control characters but tabs and line ends.
_SIGN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\u2028\u2029]")
_OLD_LINE_END = re.compile(r"\r(?!\n)")


def check_signs(text: str, report: Report) -> None:
    """Report signs that change the direction or steer a terminal, and old line ends."""
    for found in islice(_SIGN.finditer(text), MAX_SIGNS_TOLD):
        report.add(
            "sign", Token(found[0], found.start()),
            f"the invisible sign U+{ord(found[0]):04X} stands here", "take it out",
        )  # fmt: skip
    old = _OLD_LINE_END.search(text)
    if old:
        report.add(
            "line-ends", Token("", old.start()), "this line ends in the old way, with CR alone",
            "save the file with line ends of LF or CR LF",
        )  # fmt: skip


def check_length(
    parts: Sequence[Part], order: Sequence[str], tempo_bpm: Fraction, metre: Metre, at: Token,
    report: Report,
) -> bool:  # fmt: skip
    """Report at a token that the song is too long, and return whether it is within bounds.

    The bounds are `MAX_PLAYED_BARS` and `MAX_PLAYED_MINUTES`; repeats and visits count.
    """
    visits = Counter(order)
    bars, quarters = 0, Fraction(0)
    for part in parts:
        played = [part.bars[index] for index, _ in islice(passes(part), MAX_PLAYED_BARS + 1)]
        bars += visits[part.name] * len(played)
        quarters += visits[part.name] * sum((bar.length for bar in played), Fraction(0))
    minutes = quarters / metre.beats[0] / tempo_bpm
    if bars <= MAX_PLAYED_BARS and minutes <= MAX_PLAYED_MINUTES:
        return True
    more = "more than " if any(count > MAX_PLAYED_BARS for count in (bars, len(order))) else ""
    report.add(
        "too-long", at,
        f"the song plays {more}{bars:,} bars, {more}{_time_text(minutes)}: a lesson plays at most "
        f"{MAX_PLAYED_BARS:,} bars and {MAX_PLAYED_MINUTES // 60} hours",
        "mend the order, the repeats or the tempo",
    )  # fmt: skip
    return False


def _time_text(minutes: Fraction) -> str:
    whole = int(minutes)
    return f"{whole // 60} hours" if whole >= 120 else f"{whole} minutes"
