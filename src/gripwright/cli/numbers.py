"""Numbers on the command line: plain decimal digits, finite, within their limits.

The types of click let ``nan`` and ``inf`` through, and digits of any script.
"""

from __future__ import annotations

import math
import re
from typing import Any

import click

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d{1,18}", re.ASCII)


class Number(click.ParamType):  # type: ignore[type-arg]  # generic only from click 8.5 on
    """A finite number from ``low`` to ``high``, both included; None is no limit.

    >>> Number(30, 100).convert("62.5", None, None)
    62.5
    """

    name = "number"

    def __init__(self, low: float | None = None, high: float | None = None) -> None:
        self.low, self.high = low, high

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float | int:
        """Return the number; fail as wrong use with what would be right."""
        number = self._read(str(value).strip())
        if number is None or not math.isfinite(number):
            self.fail(f"{value!r} is not {self._wanted()}", param, ctx)
        if (self.low is not None and number < self.low) or (
            self.high is not None and number > self.high
        ):
            self.fail(f"{value} is not {self._wanted()}", param, ctx)
        return number

    def _read(self, text: str) -> float | int | None:
        return float(text) if _NUMBER.fullmatch(text) else None

    def _wanted(self) -> str:
        limits = {
            (True, True): f" from {self.low} to {self.high}",
            (True, False): f", {self.low} or more",
            (False, True): f", at most {self.high}",
            (False, False): "",
        }
        return f"a {self.name}{limits[self.low is not None, self.high is not None]}"


class Whole(Number):
    """A whole number from ``low`` to ``high``, both included; None is no limit.

    >>> Whole(0, 12).convert("3", None, None)
    3
    """

    name = "whole number"

    def _read(self, text: str) -> int | None:
        return int(text) if _WHOLE.fullmatch(text) else None
