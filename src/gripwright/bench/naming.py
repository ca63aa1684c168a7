"""What the page shows beside a name: typeset runs, the hand that holds it, teaching words."""

from __future__ import annotations

import asyncio
from functools import lru_cache
from typing import Any

import msgspec

from gripwright.bench.calls import given_fields
from gripwright.bench.wire.requests import NameAsked
from gripwright.cli import name as name_command
from gripwright.draw.words import grip_in_words
from gripwright.errors import GripError
from gripwright.harmony.places import place_words
from gripwright.harmony.reading import Reading
from gripwright.harmony.table import ways
from gripwright.neck.grip import Grip
from gripwright.neck.hand import finger
from gripwright.neck.tuning import Neck

SETS = 2048
WARMED_AT_ONCE, WARM_REST_S = 8, 0.02


@lru_cache(maxsize=2048)
def name_answer(of: NameAsked) -> bytes:
    """Return the command's answer with ``runs``, ``place`` of each tone, and ``hold``, encoded.

    Raises what the command raises. Answers are kept: a window asks again for what it has just
    shown, and many windows ask alike.
    """
    named = name_command.asked(given_fields(of))
    grip, neck, told = named.grip, named.neck, name_command.told(named)
    for reading, shown in zip(named.readings, told["readings"], strict=True):
        shown["runs"] = _runs(reading)
        for tone, at in zip(reading.tones, shown["tones"], strict=True):
            at["place"] = place_words(tone, grip, reading.root, neck) if reading.symbol else ""
    return msgspec.json.encode({"contract": 1, **told, "hold": _hold(grip, neck)})


def _runs(reading: Reading) -> list[dict[str, Any]]:
    """Return a symbol as typesetting runs, none for a cluster."""
    runs = reading.symbol.runs if reading.symbol else ()
    return [{"text": run.text, "raised": run.raised} for run in runs]


def _hold(grip: Grip, neck: Neck) -> dict[str, str]:
    """Return how a hand holds the grip, or why none can."""
    try:
        held = finger(grip, neck)
    except GripError as error:
        trouble = f"{error.message}; {error.remedy}" if error.remedy else error.message
        return {"words": "", "trouble": trouble}
    words = grip_in_words(grip, neck, held.fingers)
    return {"words": words, "trouble": " ".join(held.cautions)}


async def warm() -> None:
    """Read the naming table through, a little at a time, before anyone waits for it."""
    for start in range(0, SETS, WARMED_AT_ONCE):
        for row in range(start, start + WARMED_AT_ONCE):
            ways(2 * row + 1)
        await asyncio.sleep(WARM_REST_S)
