"""Why nothing was found: the constraints in conflict, and the nearest grip.

A smallest set of constraints that together allow nothing is found by leaving them out one at a
time; the nearest grip is the best one that breaks a single one of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gripwright.errors import SearchError
from gripwright.neck.effort import Player
from gripwright.neck.geometry import LARGE
from gripwright.neck.tuning import MAX_FRET, Neck
from gripwright.theory.symbol import ChordSymbol
from gripwright.voicing.limits import Limits
from gripwright.voicing.rules import Wish
from gripwright.voicing.search import Found, find_grips

# The span that a search is widened to when its span is left out.
WIDEST_SPAN = 6


@dataclass(frozen=True, slots=True)
class _Question:
    """A search that can be asked again with a constraint left out."""

    wish: Wish
    player: Player
    limits: Limits
    symbol: ChordSymbol | None

    def without(self, names: Sequence[str]) -> tuple[Found, ...]:
        """Return what is found with some constraints left out."""
        limits, player = self.limits, self.player
        free = Limits(frets=(0, MAX_FRET), span=WIDEST_SPAN)
        for name in names:
            if name == "hand":
                player = replace(player, hand=LARGE)
            else:
                limits = replace(limits, **{name: getattr(free, name)})
        return find_grips(self.wish, player, limits, symbol=self.symbol)


def check_sounds(wish: Wish, neck: Neck) -> None:
    """Raise SearchError where no grip on this neck could sound a wish, wherever it lay."""
    if wish.notes_needed > len(neck):
        raise SearchError(
            f"{wish.text} needs {wish.notes_needed} different notes, this tuning has"
            f" {len(neck)} strings", field="symbol",
            remedy="write a smaller symbol, or leave a degree out of it, such as C13(no5)",
        )  # fmt: skip


def explain_nothing(
    wish: Wish, player: Player, limits: Limits, symbol: ChordSymbol | None = None
) -> SearchError:
    """Return the error for a search that found nothing.

    It names a smallest set of constraints in conflict and the nearest grip outside them.
    """
    question = _Question(wish, player, limits, symbol)
    told = _told(limits, player)
    conflict = list(told)
    if not question.without(conflict):
        return SearchError(
            f"no hand can play {wish.text} in this tuning within {WIDEST_SPAN} frets",
            field="symbol", remedy="try a smaller symbol or another tuning",
        )  # fmt: skip
    for name in list(told):
        others = [other for other in told if other not in conflict or other == name]
        if not question.without(others):
            conflict.remove(name)
    nearest = _nearest(question, conflict)
    names = " and ".join(told[name] for name in conflict)
    return SearchError(
        f"no grip for {wish.text} has {names}", field=conflict[0], at=", ".join(conflict),
        remedy=f"the nearest grip is {nearest.grip.text}" if nearest else "loosen one of them",
    )  # fmt: skip


def _told(limits: Limits, player: Player) -> dict[str, str]:
    """Return the constraints that narrow a search, in words, the likeliest to give way first."""
    low, high = limits.frets
    words = {
        "level": f"level {limits.level}" if limits.level < 5 else "",
        "top": f"{limits.top.text} on top" if limits.top else "",
        "bass": f"{limits.bass.text} in the bass" if limits.bass else "",
        "strings": "exactly the strings that were named" if limits.strings is not None else "",
        "open_strings": {"none": "no open string", "some": "an open string"}.get(
            limits.open_strings, ""
        ),
        "doubling": "" if limits.doubling else "no note twice",
        "notes": f"{limits.notes[0]} to {limits.notes[1]} strings sounding"
        if limits.notes != Limits().notes
        else "",
        "span": f"a span of {limits.span} fret{'s' * (limits.span > 1)}"
        if limits.span < WIDEST_SPAN
        else "",
        "frets": f"frets {low} to {high}" if limits.frets != (0, MAX_FRET) else "",
        "hand": f"a hand of {player.hand.length_mm:.0f} mm" if player.hand.length_mm < 205 else "",
    }
    return {name: text for name, text in words.items() if text}


def _nearest(question: _Question, conflict: Sequence[str]) -> Found | None:
    """Return the best grip that breaks one constraint of the conflict, or all of them."""
    for names in [[name] for name in conflict] + [list(conflict)]:
        found = question.without(names)
        if found:
            return min(found, key=lambda one: (one.cost, one.grip.text))
    return None
