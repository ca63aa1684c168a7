"""Which family and which mode of it a region is in.

Songs: the third of the tonic's own chords decides, then the thirds and sixths of the others.

A mode other than plain major or minor must be spoken for: its own colour in a chord that
carries it (the IV major of Dorian, the bVII of Mixolydian), heard more than the tone it
replaces. Weights are common practice, no source; the entrance fee was set on development data
so that analysed scores keep their major and minor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gripwright.harmony.facts import Facts
from gripwright.harmony.key_events import Event, habit_of

OWN_THIRD, THIRD, SIXTH = 2.0, 0.5, 0.3  # what a tonic chord, a third, a sixth weighs
FEE = (3.0, 2.2, 1.4, 1.0)  # by habit: modes are claimed where the music goes round


@dataclass(frozen=True, slots=True)
class Colour:
    """A mode's own pitch class above the tonic, the one it replaces, and its chords.

    ``bearers`` are (root above the tonic, third) of the chords that show the colour.
    """

    own: int
    instead_of: int
    bearers: frozenset[tuple[int, str]]


COLOURS: dict[str, Colour] = {
    "mixolydian": Colour(10, 11, frozenset({(10, "major"), (7, "minor"), (0, "major")})),
    "lydian": Colour(6, 5, frozenset({(2, "major"), (11, "minor"), (0, "major")})),
    "dorian": Colour(9, 8, frozenset({(5, "major"), (2, "minor"), (0, "minor")})),
    "phrygian": Colour(1, 2, frozenset({(1, "major"), (10, "minor"), (0, "minor")})),
}
PLAIN = ("major", "minor")
MODES_OF = (("mixolydian", "lydian"), ("dorian", "phrygian"))


@dataclass(frozen=True, slots=True)
class Heard:
    """A chord of a region with the root that follows: what all its hearings count, how many."""

    facts: Facts
    after: int | None
    weight: float
    times: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """The chords of a region, each with what follows once, and how much of it repeats."""

    heard: tuple[Heard, ...]
    habit: int


def stretch_of(events: Sequence[Event]) -> Stretch:
    """Return what modes look at in a region; what is heard again says less each time."""
    counts: dict[tuple[int, str], int] = {}
    found: dict[tuple[Facts, int | None], tuple[float, int]] = {}
    marks = [(event.facts.root, event.facts.kind) for event in events]
    for at, (event, mark) in enumerate(zip(events, marks, strict=True)):
        counts[mark] = counts.get(mark, 0) + 1
        after = marks[at + 1][0] if at + 1 < len(marks) else None
        weight, times = found.get((event.facts, after), (0.0, 0))
        found[event.facts, after] = (weight + counts[mark] ** -0.5, times + 1)
    heard = tuple(Heard(*key, *counted) for key, counted in found.items())
    return Stretch(heard, habit_of(marks))


def family_of(tonic: int, stretch: Stretch) -> int:
    """Return 1 where a region leans to the minor modes of a tonic, 0 where to the major ones."""
    lean = 0.0
    for one in stretch.heard:
        facts = one.facts
        if facts.root == tonic and facts.third != "other":
            own = OWN_THIRD if facts.third == "minor" else -OWN_THIRD
        else:
            third, flat, sixth, low = ((tonic + pc) % 12 in facts.pcs for pc in (4, 3, 9, 8))
            own = THIRD * (flat - third) + SIXTH * (low - sixth)
        lean += own * one.weight
    return int(lean > 0)


def mode_of(family: int, tonic: int, stretch: Stretch) -> str:
    """Return the mode of a region: 0 is the major family, 1 the minor one."""
    if not any(one.facts.root == tonic for one in stretch.heard):
        return PLAIN[family]
    fee = FEE[stretch.habit]
    modes: tuple[str, ...] = MODES_OF[family]
    shown = {mode: _shown(mode, tonic, stretch) for mode in modes}
    if family == 0 and (phrygian := _shown("phrygian", tonic, stretch))[1]:
        shown["phrygian"] = phrygian  # with a major third in the tonic chord
    scores = {mode: score - (FEE[-1] if recurs else fee) for mode, (score, recurs) in shown.items()}
    best = max(scores, key=scores.__getitem__)
    return best if scores[best] > 0 else PLAIN[family]


def _shown(mode: str, tonic: int, stretch: Stretch) -> tuple[float, bool]:
    """Return what shows a mode's colour less what denies it, and whether the colour recurs.

    It recurs where it comes back in a chord that bears it and is never denied.
    """
    colour = COLOURS[mode]
    own, instead_of = (tonic + colour.own) % 12, (tonic + colour.instead_of) % 12
    score, bearing, denied = 0.0, 0, False
    for one in stretch.heard:
        facts = one.facts
        shows = own in facts.pcs
        bears = (
            shows
            and ((facts.root - tonic) % 12, facts.third) in colour.bearers
            and not _leans_on(facts.root, one.after, tonic)
        )
        bearing += one.times * bears
        if instead_of in facts.pcs:
            denied = True
            score -= 1.5 * one.weight
        elif shows:
            score += (1.0 if bears else 0.3) * one.weight
    return score, bearing > 1 and not denied


def _leans_on(root: int, after: int | None, tonic: int) -> bool:
    """Return whether a root falls a fifth to another degree: that is a dominant, no colour."""
    return after is not None and after != tonic and (root - after) % 12 == 7
