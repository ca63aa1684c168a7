"""Arranging on the bench: a chain of grips for the open lesson, seen before it is taken."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from gripwright.draw.words import change_in_words
from gripwright.errors import InputError
from gripwright.lesson.arranged import Written, chords_of, write_grips_in
from gripwright.lesson.edit import Edit, apply_edit
from gripwright.lesson.model import Lesson
from gripwright.lesson.revise import set_chord
from gripwright.lesson.revise_bars import difference
from gripwright.lesson.text import Parsed, lesson_error, parse
from gripwright.neck.effort import Player
from gripwright.voicing.arrange import Arrangement, Wanted, arrange, for_another_neck
from gripwright.voicing.limits import Limits
from gripwright.voicing.tunings import rank_tunings, song_necks

SHOWN_TUNINGS = 12


def arrangement_of(
    lesson: Lesson, request: dict[str, Any]
) -> tuple[tuple[Written, ...], Arrangement]:
    """Return the chords of a lesson and the best chain for them.

    The request may give ``level``, ``aim`` and ``keep``: whether the teacher's own grips stay.
    Raises InputError for a level or aim that is none, SearchError where a chord has no grip.
    """
    level, aim = request.get("level", 5), request.get("aim", "total")
    if level not in (1, 2, 3, 4, 5) or aim not in ("total", "worst"):
        raise InputError("a level is 1 to 5, an aim total or worst", field="level")
    written = chords_of(lesson)
    asked = [one.asked for one in written]
    if not request.get("keep", True):
        asked = list(for_another_neck(asked))
    chain = arrange(asked, Player(lesson.neck), Wanted(Limits(level=level), aim))
    return written, chain[0]


def arrange_answer(lesson: Lesson, request: dict[str, Any]) -> dict[str, Any]:
    """Return before and after of each chord, how the hand moves, and what is lost."""
    written, chain = arrangement_of(lesson, request)
    held = chain.fingerings
    return {
        "chords": [
            {
                "symbol": one.chord.symbol.text if one.chord.symbol else one.chord.name,
                "before": one.chord.grip.text if one.chord.grip else None,
                "grip": found.grip.text,
                "effort": round(found.effort.total, 4),
            }
            for one, found in zip(written, held, strict=True)
        ],
        "effort": round(chain.effort, 4),
        "moves": [
            {"words": change_in_words(a.grip, b.grip, a.fingers, b.fingers)}
            for a, b in pairwise(held)
        ],
        "lost": [
            {"symbol": one.chord.name, "text": loss.text}
            for one, loss in zip(written, chain.losses, strict=True)
            if loss
        ],
        "cautions": list(chain.cautions),
    }


def take_arrangement(request: dict[str, Any], text: str, parsed: Parsed) -> Edit:
    """Return the edit that writes the arrangement of the same request into the chart."""
    if parsed.lesson is None:
        raise lesson_error(parsed.problems, "this lesson")
    written, chain = arrangement_of(parsed.lesson, request)
    if request.get("keep", True):
        return difference(text, write_grips_in(text, chain))
    after = text
    for one, found in zip(written, chain.fingerings, strict=True):
        symbol = one.chord.symbol
        if symbol is not None and found.grip != one.chord.grip:
            word = f"{found.grip.text}={symbol.text}"
            after = apply_edit(after, set_chord(after, parse(after), one.place, word))
    return difference(text, after)


def tunings_answer(lesson: Lesson) -> dict[str, Any]:
    """Return the best tunings and capos for a lesson, best first."""
    home = Player(lesson.neck)
    asked = tuple(one.asked for one in chords_of(lesson))
    fits = rank_tunings(asked, home, song_necks(lesson.neck))
    return {
        "tunings": [
            {
                "tuning": fit.neck.tuning.text,
                "capo": fit.neck.capo,
                "stops": list(fit.neck.stops),
                "effort": round(fit.effort, 4),
                "unreached": [one.text for one in fit.unreached],
            }
            for fit in fits[:SHOWN_TUNINGS]
        ]
    }
