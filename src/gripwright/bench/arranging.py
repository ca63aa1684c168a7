"""Arranging on the bench: a chain of grips for the open lesson, seen before it is taken.

The chain that was shown last is remembered, so that taking it does not search again.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from gripwright.bench.desk import whole
from gripwright.bench.wire.answers import (
    Arranged,
    ArrangedChord,
    Loss,
    Move,
    TuningFit,
    TuningsTold,
)
from gripwright.bench.wire.intents import TakeArrangement
from gripwright.bench.wire.requests import ArrangeAsked
from gripwright.draw.words import change_in_words
from gripwright.lesson.arranged import Written, chords_of, write_grips_in
from gripwright.lesson.edit import Edit, apply_edit
from gripwright.lesson.model import Lesson
from gripwright.lesson.revise import set_chord
from gripwright.lesson.revise_bars import difference
from gripwright.lesson.text import Parsed, parse
from gripwright.neck.effort import Player
from gripwright.voicing.arrange import Arrangement, Wanted, arrange, for_another_neck
from gripwright.voicing.limits import Limits
from gripwright.voicing.tunings import Fit, rank_tunings, song_necks

SHOWN_TUNINGS = 12
KEPT = 8
Arranging = tuple[tuple[Written, ...], Arrangement]


class Chains:
    """The chains that were shown last, by the text and what was asked of it."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, int, str, bool], Arranging] = {}

    def keep(self, sha256: str, request: ArrangeAsked, found: Arranging) -> None:
        """Remember a chain."""
        while len(self._known) >= KEPT:
            self._known.pop(next(iter(self._known)))
        self._known[sha256, request.level, request.aim, request.keep] = found

    def find(self, parsed: Parsed, request: TakeArrangement) -> Arranging:
        """Return the chain that was shown, or search it again."""
        key = (parsed.sha256, request.level, request.aim, request.keep)
        return self._known.get(key) or arrangement_of(whole("this lesson", parsed), request)


CHAINS = Chains()


def arrangement_of(
    lesson: Lesson, request: ArrangeAsked | TakeArrangement,
    told: Callable[[float], None] = lambda share: None,
) -> Arranging:  # fmt: skip
    """Return the chords of a lesson and the best chain for them; ``told`` hears how far it is.

    Raises SearchError where a chord has no grip.
    """
    written = chords_of(lesson)
    asked = [one.asked for one in written]
    if not request.keep:
        asked = list(for_another_neck(asked))
    wanted = Wanted(Limits(level=request.level), request.aim)
    chain = arrange(asked, Player(lesson.neck), wanted, told=told)
    return written, chain[0]


def arrange_answer(found: Arranging, sha256: str) -> Arranged:
    """Return before and after of each chord, how the hand moves, and what is lost."""
    written, chain = found
    held = chain.fingerings
    return Arranged(
        sha256=sha256,
        chords=[
            ArrangedChord(
                symbol=one.chord.symbol.text if one.chord.symbol else one.chord.name,
                before=one.chord.grip.text if one.chord.grip else None,
                grip=found.grip.text,
                effort=round(found.effort.total, 4),
            )
            for one, found in zip(written, held, strict=True)
        ],
        effort=round(chain.effort, 4),
        moves=[
            Move(change_in_words(a.grip, b.grip, a.fingers, b.fingers)) for a, b in pairwise(held)
        ],
        lost=[
            Loss(one.chord.name, loss.text)
            for one, loss in zip(written, chain.losses, strict=True)
            if loss
        ],
        cautions=list(chain.cautions),
    )


def take_arrangement(request: TakeArrangement, text: str, parsed: Parsed) -> Edit:
    """Return the edit that writes the arrangement of the same request into the chart."""
    written, chain = CHAINS.find(parsed, request)
    if request.keep:
        return difference(text, write_grips_in(text, chain))
    after = text
    for one, found in zip(written, chain.fingerings, strict=True):
        symbol = one.chord.symbol
        if symbol is not None and found.grip != one.chord.grip:
            word = f"{found.grip.text}={symbol.text}"
            after = apply_edit(after, set_chord(after, parse(after), one.place, word))
    return difference(text, after)


def fits_of(lesson: Lesson, told: Callable[[float], None] = lambda share: None) -> tuple[Fit, ...]:
    """Return how each tuning and capo suits a lesson, best first."""
    asked = tuple(one.asked for one in chords_of(lesson))
    return rank_tunings(asked, Player(lesson.neck), song_necks(lesson.neck), told=told)


def tunings_answer(fits: tuple[Fit, ...], sha256: str) -> TuningsTold:
    """Return the best tunings and capos for a lesson, best first."""
    told = [
        TuningFit(
            tuning=fit.neck.tuning.text,
            capo=fit.neck.capo,
            stops=list(fit.neck.stops),
            effort=round(fit.effort, 4),
            unreached=[one.text for one in fit.unreached],
        )
        for fit in fits[:SHOWN_TUNINGS]
    ]
    return TuningsTold(sha256=sha256, tunings=told)
