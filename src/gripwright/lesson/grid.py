"""The beat grid of a bar: where each item of a lane starts and how long it lasts.

An item lasts a beat of the metre; alone in its bar, all of it. ``by 2`` makes the items after
it in the bar last half a beat, ``by 3`` a third; ``by 1/8`` an eighth note whatever the beat is.
``_`` lengthens the item before it by one step, ``...`` is silence to the end of the bar.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from gripwright.beats import Metre, Quarters
from gripwright.lesson.source import Report, Token

_STEP = re.compile(r"(1/)?([1-9][0-9]{0,2})")


@dataclass(frozen=True, slots=True)
class Laid:
    """An item at its place in the bar; a mark such as ``pm{`` has length 0.

    ``step`` is the part of ``length`` before the first ``_``.
    """

    token: Token
    offset: Quarters
    length: Quarters
    step: Quarters


@dataclass(frozen=True, slots=True)
class Ruler:
    """The length of a bar and the beats in it; a pickup's beats are those that end a bar."""

    metre: Metre
    length: Quarters

    def step(self, at: Quarters, per_beat: int) -> Quarters:
        """Return the beat that holds ``at``, divided."""
        metre = self.metre
        if metre.groups.count(metre.groups[0]) == len(metre.groups):
            return _part_of_beat(metre.groups[0], metre.unit, per_beat)
        at += max(Fraction(0), metre.length - self.length)
        for start, group in zip(metre.beat_starts, metre.groups, strict=True):
            if at < start + Fraction(4 * group, metre.unit):
                return _part_of_beat(group, metre.unit, per_beat)
        return _part_of_beat(metre.groups[-1], metre.unit, per_beat)


@lru_cache(maxsize=512)
def _part_of_beat(group: int, unit: int, per_beat: int) -> Quarters:
    return Fraction(4 * group, unit * per_beat)


def push_length(metre: Metre, marks: int) -> Quarters:
    """Return how early ``<`` (1) or ``<<`` (2) arrives: half a simple beat or half of that.

    Where beats hold more than one unit of the metre, ``<`` is one unit: an eighth in 6/8.
    """
    simple = all(group == 1 for group in metre.groups)
    one = metre.beats[0] / 2 if simple else Fraction(4, metre.unit)
    return one / marks


def beats_text(quarters: Quarters, metre: Metre) -> str:
    """Return a length in beats, or in units where beats differ, in words.

    >>> beats_text(Fraction(5, 2), Metre())
    '2 1/2 beats'
    """
    even = len(set(metre.beats)) == 1
    count = quarters / (metre.beats[0] if even else Fraction(4, metre.unit))
    whole, part = divmod(count, 1)
    number = " ".join(str(x) for x in (whole, part) if x) or "0"
    word = "beat" if even else f"1/{metre.unit} unit"
    return f"{number} {word}{'' if count == 1 else 's'}"


def lay_out(items: Sequence[Token], ruler: Ruler, report: Report) -> list[Laid]:
    """Return the items of a lane's bar at their places; too many or too few are a problem."""
    if len(items) == 1 and not items[0].text.endswith(("{", "}")):
        step = min(ruler.step(Fraction(0), 1), ruler.length)
        return [Laid(items[0], Fraction(0), ruler.length, step)]
    laid: list[Laid] = []
    at = Fraction(0)
    absolute, divide = False, 1
    index = 0
    while index < len(items):
        token = items[index]
        index += 1
        if token.text == "by":
            match = _STEP.fullmatch(items[index].text) if index < len(items) else None
            if match:
                absolute, divide = bool(match[1]), int(match[2])
            else:
                report.add("step", token, "'by' needs a step", "write by 2, by 3 or by 1/8")
            index += 1
            continue
        if token.text.endswith("{") or token.text == "}":
            laid.append(Laid(token, at, Fraction(0), Fraction(0)))
            continue
        step = Fraction(4, divide) if absolute else ruler.step(at, divide)
        if token.text == "...":
            step = max(Fraction(0), ruler.length - at)
            if not step:
                continue
        if token.text == "_" and laid and laid[-1].length:
            last = laid[-1]
            laid[-1] = Laid(last.token, last.offset, last.length + step, last.step)
        else:
            laid.append(Laid(token, at, step, step))
        at += step
        if at > ruler.length:
            return _too_long(items, token, ruler, report)
    if at < ruler.length:
        _too_short(items, at, ruler, report)
        return []
    return laid


def _too_long(items: Sequence[Token], token: Token, ruler: Ruler, report: Report) -> list[Laid]:
    report.add(
        "bar-long", token,
        f"the bar has too many beats: {ruler.metre.text} holds "
        f"{beats_text(ruler.length, ruler.metre)} here, {token.text!r} goes past the end",
        "take beats out, set a finer step with 'by 2', or give the bar its own metre: (5/4)",
    )  # fmt: skip
    return []


def _too_short(items: Sequence[Token], at: Quarters, ruler: Ruler, report: Report) -> None:
    first = items[0]
    end = items[-1].span.end
    missing = beats_text(ruler.length - at, ruler.metre)
    report.add(
        "bar-short", Token(report.text[first.start : end], first.start),
        f"the bar has too few beats: it holds {beats_text(ruler.length, ruler.metre)}, "
        f"{missing} are missing",
        "strike again with /, let ring with _, or be silent with rest",
    )  # fmt: skip
