"""The clicks of a count-in: a short dying tone, higher where a bar starts."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

import numpy as np

_SECONDS, _DYING = 0.05, 90.0
_FIRST_HZ, _OTHER_HZ = 1480.0, 1110.0


@lru_cache(maxsize=8)
def click(rate: int, first: bool) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return one click of full level, shape (samples,), read-only."""
    time_s = np.arange(round(_SECONDS * rate)) / rate
    tone = np.sin(2 * np.pi * (_FIRST_HZ if first else _OTHER_HZ) * time_s)
    sound: np.ndarray[Any, np.dtype[np.float64]] = tone * np.exp(-time_s * _DYING)
    sound.setflags(write=False)
    return sound


def add_clicks(
    track: np.ndarray[Any, Any], clicks: Iterable[tuple[float, bool]], rate: int, level: float
) -> None:
    """Add clicks to a track in place, shape (samples, channels).

    Each click is (second, whether a bar starts there); what lies past the end is left out.
    """
    for second, first in clicks:
        begin = round(second * rate)
        sound = level * click(rate, first)[: max(0, len(track) - begin)]
        track[begin : begin + len(sound)] += sound[:, None]
