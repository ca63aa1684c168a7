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


def family_of(tonic: int, events: Sequence[Event]) -> int:
    """Return 1 where a region leans to the minor modes of a tonic, 0 where to the major ones."""
    lean = 0.0
    heard: dict[tuple[int, str], int] = {}
    for event in events:
        facts = event.facts
        mark = (facts.root, facts.kind)
        heard[mark] = heard.get(mark, 0) + 1
        above = {(pc - tonic) % 12 for pc in facts.pcs}
        if facts.root == tonic and facts.third != "other":
            own = OWN_THIRD if facts.third == "minor" else -OWN_THIRD
        else:
            own = THIRD * ((3 in above) - (4 in above)) + SIXTH * ((8 in above) - (9 in above))
        lean += own * float(heard[mark] ** -0.5)
    return int(lean > 0)


def mode_of(family: int, tonic: int, events: Sequence[Event]) -> str:
    """Return the mode of a region: 0 is the major family, 1 the minor one."""
    if not any(event.facts.root == tonic for event in events):
        return PLAIN[family]
    fee = FEE[habit_of([(event.facts.root, event.facts.kind) for event in events])]
    modes: tuple[str, ...] = MODES_OF[family]
    if family == 0 and _recurs("phrygian", tonic, events):
        modes = (*modes, "phrygian")  # with a major third in the tonic chord
    scores = {mode: colour_score(mode, tonic, events) - fee for mode in modes}
    for mode in scores:
        if _recurs(mode, tonic, events):
            scores[mode] += fee - FEE[-1]
    best = max(scores, key=scores.__getitem__)
    return best if scores[best] > 0 else PLAIN[family]


def _recurs(mode: str, tonic: int, events: Sequence[Event]) -> bool:
    """Return whether a mode's colour comes back in a chord that bears it and is never denied."""
    colour = COLOURS[mode]
    denied = any((tonic + colour.instead_of) % 12 in event.facts.pcs for event in events)
    bearing = [
        event
        for event, after in zip(events, (*events[1:], None), strict=True)
        if (tonic + colour.own) % 12 in event.facts.pcs
        and ((event.facts.root - tonic) % 12, event.facts.third) in colour.bearers
        and not (after and _leans_on(event.facts.root, after.facts.root, tonic))
    ]
    return len(bearing) > 1 and not denied


def _leans_on(root: int, after: int, tonic: int) -> bool:
    """Return whether a root falls a fifth to another degree: that is a dominant, no colour."""
    return after != tonic and (root - after) % 12 == 7


def colour_score(mode: str, tonic: int, events: Sequence[Event]) -> float:
    """Return how much a region speaks for a mode: what shows its colour less what denies it."""
    colour = COLOURS[mode]
    score = 0.0
    heard: dict[tuple[int, str], int] = {}
    for event, after in zip(events, (*events[1:], None), strict=True):
        facts = event.facts
        mark = (facts.root, facts.kind)
        heard[mark] = heard.get(mark, 0) + 1
        fade: float = heard[mark] ** -0.5
        if (tonic + colour.instead_of) % 12 in facts.pcs:
            score -= 1.5 * fade
        elif (tonic + colour.own) % 12 in facts.pcs:
            bears = ((facts.root - tonic) % 12, facts.third) in colour.bearers and not (
                after and _leans_on(facts.root, after.facts.root, tonic)
            )
            score += (1.0 if bears else 0.3) * fade
    return score
