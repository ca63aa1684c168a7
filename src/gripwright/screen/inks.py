"""Inks that are read on any ground: one of our palettes, moved only as far as contrast asks.

Text keeps a contrast of 4.5:1 and lines of 3:1 on every ground that is named (WCAG 2.2, success
criteria 1.4.3 and 1.4.11).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gripwright.draw.look import DARK, LIGHT, Palette, contrast

TEXT, LINES = 4.5, 3.0
_STEPS = 20


def inked(grounds: Sequence[str], base: Palette | None = None) -> Palette:
    """Return the palette for drawing on grounds (``#RRGGBB``); ``paper`` is the first of them.

    Without a ``base`` it is the light or the dark one, whose ink stands out better. Colours that
    stand out too little are moved toward the ink, the ink toward black or white.

    >>> inked(["#FBF9F4"]).ink == LIGHT.ink, inked(["#15181F"]).ink == DARK.ink
    (True, True)
    """
    by_ink = sorted((LIGHT, DARK), key=lambda one: _least(one.ink, grounds))
    chosen = base or by_ink[-1]
    utmost = "#000000" if _least("#000000", grounds) > _least("#FFFFFF", grounds) else "#FFFFFF"
    ink = _moved(chosen.ink, utmost, grounds, TEXT)
    return replace(
        chosen, paper=grounds[0], ink=ink,
        quiet=_moved(chosen.quiet, ink, grounds, TEXT),
        hairline=_moved(chosen.hairline, ink, grounds, LINES),
        accent=_moved(chosen.accent, ink, grounds, TEXT),
        families=tuple(
            (family, _moved(colour, ink, grounds, TEXT)) for family, colour in chosen.families
        ),
    )  # fmt: skip


def mixed(one: str, other: str, share: float) -> str:
    """Return a colour with a share of another mixed in, channel by channel.

    >>> mixed("#000000", "#FFFFFF", 0.5)
    '#808080'
    """
    pairs = [(int(one[at : at + 2], 16), int(other[at : at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(a + (b - a) * share):02X}" for a, b in pairs)


def _least(colour: str, grounds: Sequence[str]) -> float:
    return min(contrast(colour, ground) for ground in grounds)


def _moved(colour: str, toward: str, grounds: Sequence[str], ratio: float) -> str:
    """Return a colour moved toward another until it stands out on every ground."""
    steps = (mixed(colour, toward, step / _STEPS) for step in range(_STEPS + 1))
    return next((one for one in steps if _least(one, grounds) >= ratio), toward)
