"""The small writings that reader and writer share: doubts, places in a record, ordinals."""

from __future__ import annotations

import re
from fractions import Fraction

from gripwright.lesson.model import Doubt

SECONDS = r"[0-9]+:[0-9][0-9](?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)?"
DOUBT = rf"\?(?:{SECONDS})?"
LABEL = r"[A-Za-z][\w-]*"
_ORDINAL = re.compile(r"([0-9]+)(?:st|nd|rd|th)")


def parse_doubt(text: str) -> Doubt:
    """Read a doubt mark, ``?`` or ``?1:12.5``.

    >>> parse_doubt("?1:12.5")
    Doubt(record_s=72.5)
    """
    place = text[1:]
    if not place:
        return Doubt()
    minutes, colon, seconds = place.rpartition(":")
    return Doubt(float(Fraction(seconds) + (60 * int(minutes) if colon else 0)))


def doubt_text(doubt: Doubt | None) -> str:
    """Return the mark that `parse_doubt` reads back; nothing for no doubt.

    >>> doubt_text(Doubt(72.5))
    '?1:12.5'
    """
    if doubt is None:
        return ""
    if doubt.record_s is None:
        return "?"
    whole, tail = f"{doubt.record_s:.3f}".rstrip("0").rstrip(".").partition(".")[::2]
    minutes, seconds = divmod(int(whole), 60)
    return f"?{minutes}:{seconds:02}" + (f".{tail}" if tail else "")


def parse_passes(text: str) -> tuple[int, ...] | None:
    """Read endings, ``1st`` or ``1st 2nd``; None if it is something else."""
    words = text.replace(",", " ").split()
    found = [_ORDINAL.fullmatch(word) for word in words]
    passes = tuple(int(match[1]) for match in found if match)
    return passes if words and len(passes) == len(words) and 0 not in passes else None


def ordinal(number: int) -> str:
    """Return ``1st``, ``2nd``, ``11th``."""
    teen = 10 <= number % 100 <= 20
    return f"{number}{'th' if teen else {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th')}"


def parse_length(text: str) -> Fraction | None:
    """Read a length as a part of a whole note, ``3/8``, in quarters; None if it is none.

    >>> parse_length("3/8")
    Fraction(3, 2)
    """
    match = re.fullmatch(r"([0-9]{1,3})/([0-9]{1,3})", text.strip())
    if not match or not int(match[1]) or not int(match[2]):
        return None
    return Fraction(4 * int(match[1]), int(match[2]))


def length_text(quarters: Fraction) -> str:
    """Return the writing that `parse_length` reads back.

    >>> length_text(Fraction(3, 2)), length_text(Fraction(4))
    ('3/8', '4/4')
    """
    whole = quarters / 4
    scale = 1
    while (whole.denominator * scale) < 4:
        scale *= 2
    return f"{whole.numerator * scale}/{whole.denominator * scale}"
