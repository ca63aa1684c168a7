"""What the page shows beside a name: typeset runs, the hand that holds it, teaching words."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from gripwright.cli import name as name_command
from gripwright.draw.words import grip_in_words
from gripwright.errors import GripError
from gripwright.harmony.places import place_words
from gripwright.harmony.reading import Reading, readings
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.hand import finger
from gripwright.neck.tuning import Neck, make_neck, parse_tuning
from gripwright.theory.symbol import parse_symbol


def name_answer(request: dict[str, Any]) -> dict[str, Any]:
    """Return the command's answer with ``runs``, ``place`` of each tone, and ``hold``."""
    told = name_command.answer(request)
    neck = make_neck(parse_tuning(told["tuning"]), told["capo"] or 0)
    grip = parse_grip(told["grip"], len(neck))
    places, told["hold"] = _beside(grip, neck)
    for reading in told["readings"]:
        reading["runs"] = symbol_runs(reading["symbol"])
        for tone in reading["tones"]:
            tone["place"] = places.get(reading["symbol"], {}).get(tone["string"], "")
    return told


@lru_cache(maxsize=4096)
def _beside(grip: Grip, neck: Neck) -> tuple[dict[str, dict[int, str]], dict[str, str]]:
    """Return the places of each reading's tones by symbol and string, and the hold."""
    given = [reading for reading in readings(grip, neck) if reading.symbol]
    places = {r.symbol.text: _places(r, grip, neck) for r in given if r.symbol}
    return places, _hold(grip, neck)


def symbol_runs(symbol: str | None) -> list[dict[str, Any]]:
    """Return a symbol as typesetting runs, none for a cluster."""
    runs = parse_symbol(symbol).runs if symbol else ()
    return [{"text": run.text, "raised": run.raised} for run in runs]


def _places(reading: Reading, grip: Grip, neck: Neck) -> dict[int, str]:
    return {tone.string: place_words(tone, grip, reading.root, neck) for tone in reading.tones}


def _hold(grip: Grip, neck: Neck) -> dict[str, str]:
    """Return how a hand holds the grip, or why none can."""
    try:
        held = finger(grip, neck)
    except GripError as error:
        trouble = f"{error.message}; {error.remedy}" if error.remedy else error.message
        return {"words": "", "trouble": trouble}
    words = grip_in_words(grip, neck, held.fingers)
    return {"words": words, "trouble": " ".join(held.cautions)}
