"""Claims about formulas: two-five-ones, turnarounds, chains of dominants, cycles of thirds."""

from __future__ import annotations

import itertools

from gripwright.harmony.claims import Claim, Kind
from gripwright.harmony.claims_changes.notes import (
    above,
    briefly,
    falls,
    has,
    is_dominant,
    is_major,
    is_minor,
    listed,
    names,
)
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

_FALLS = {
    frozenset({7}): "a fifth", frozenset({1}): "a half step",
    frozenset({1, 7}): "a fifth or a half step",
}  # fmt: skip
_THIRDS = {4: "up by major thirds", 8: "down by major thirds", 3: "up by minor thirds",
           9: "down by minor thirds"}  # fmt: skip


def _two_five(claim: Claim) -> bool:
    two, five = claim.subject[:2]
    return falls(two, five) == 7 and is_minor(two) and is_major(five)


def _two_five_one(claim: Claim) -> bool:
    _, five, one = claim.subject
    return _two_five(claim) and falls(five, one) == 7 and above(one, claim.args[0]) == 0


def _say_two_five_one(claim: Claim) -> str:
    key: Key = claim.args[0]
    return f"{listed(names(claim))} are a two-five-one in {key.pretty}"


def _two_five_to_dominant(claim: Claim) -> bool:
    _, five, goal = claim.subject
    return _two_five(claim) and falls(five, goal) == 7 and is_dominant(goal)


def _say_two_five_to_dominant(claim: Claim) -> str:
    two, five, goal = names(claim)
    return f"{two} and {five} are the two and five of {goal}"


def _two_five_open(claim: Claim) -> bool:
    _, five, after = claim.subject
    return _two_five(claim) and is_dominant(five) and falls(five, after) != 7


def _say_two_five_open(claim: Claim) -> str:
    two, five, after = names(claim)
    goal = note_at(claim.subject[1].root, Degree(4)).pretty
    return f"{two} and {five} are the two and five of {goal}, but {after} follows"


def _two_sub_one(claim: Claim) -> bool:
    two, sub, one = claim.subject
    steps = falls(two, sub) == falls(sub, one) == 1
    return steps and is_minor(two) and is_dominant(sub) and above(one, claim.args[0]) == 0


def _say_two_sub_one(claim: Claim) -> str:
    said, key = names(claim), claim.args[0]
    return f"{listed(said)} are a two-five-one in {key.pretty}, {said[1]} in place of the five"


def _turnaround(claim: Claim) -> bool:
    """Check one (or three), six, two and five, or what stands a tritone away, and one again."""
    places = [above(chord, claim.args[0]) for chord in claim.subject]
    homes = places[0] in (0, 4) and places[4] in (0, 4)
    fourth = is_major(claim.subject[3]) or not has(claim.subject[3], 3)
    return homes and places[1] in (9, 3) and places[2] in (2, 8) and places[3] in (7, 1) and fourth


def _say_turnaround(claim: Claim) -> str:
    said = names(claim)
    first, *_, last = (above(chord, claim.args[0]) for chord in claim.subject)
    goal = (
        f"to {said[4]} in place of {said[0]}" if (first, last) == (0, 4) else f"back to {said[4]}"
    )
    return f"{listed(said[:4])} are a turnaround: they lead {goal}"


def _dominant_chain(claim: Claim) -> bool:
    *chain, _ = claim.subject
    steps = {falls(one, two) for one, two in itertools.pairwise(claim.subject)}
    return len(chain) > 2 and all(map(is_dominant, chain)) and steps <= {1, 7}


def _say_dominant_chain(claim: Claim) -> str:
    *chain, goal = names(claim)
    steps = frozenset(falls(one, two) for one, two in itertools.pairwise(claim.subject))
    return (
        f"{briefly(chain)} are a chain of dominants: each falls {_FALLS[steps]}, the last to {goal}"
    )


def _circle(claim: Claim) -> bool:
    """Check five chords or more whose roots fall by fifths, one of them diminished at most."""
    steps = [falls(one, two) for one, two in itertools.pairwise(claim.subject)]
    return len(steps) > 3 and steps.count(6) <= 1 and set(steps) <= {6, 7}


def _say_circle(claim: Claim) -> str:
    return f"the roots of {briefly(names(claim), 12)} fall by fifths: a circle of fifths"


def _thirds_cycle(claim: Claim) -> bool:
    """Check tonics in equal thirds, each after its own dominant or none of them."""
    stations = _stations(claim)
    steps = {(two.root.pc - one.root.pc) % 12 for one, two in itertools.pairwise(stations)}
    roots = len({chord.root.pc for chord in stations})
    *early, last = stations
    third = is_major if is_major(early[0]) else is_minor
    lone = all(third(chord) and not is_dominant(chord) for chord in early)
    fifths = len(stations) == len(claim.subject) or all(
        is_dominant(five) and falls(five, one) == 7
        for five, one in zip(claim.subject[1::2], claim.subject[2::2], strict=True)
    )
    return steps <= set(_THIRDS) and len(steps) == 1 and roots > 2 and lone and fifths and (
        is_major(last) or is_minor(last)
    )  # fmt: skip


def _stations(claim: Claim) -> tuple[ChordSymbol, ...]:
    subject: tuple[ChordSymbol, ...] = claim.subject
    return subject[::2] if is_dominant(subject[1]) else subject


def _say_thirds_cycle(claim: Claim) -> str:
    stations = _stations(claim)
    step = (stations[1].root.pc - stations[0].root.pc) % 12
    own = ", each reached by its own dominant" if len(stations) < len(claim.subject) else ""
    parts = "three" if step in (4, 8) else "four"
    return (
        f"{briefly([chord.pretty for chord in stations])} follow each other {_THIRDS[step]}{own}: "
        f"a cycle that divides the octave into {parts} equal parts"
    )


KINDS = {
    "two-five-one": Kind(_two_five_one, _say_two_five_one),
    "two-five": Kind(_two_five_to_dominant, _say_two_five_to_dominant),
    "two-five-unresolved": Kind(_two_five_open, _say_two_five_open),
    "two-sub-one": Kind(_two_sub_one, _say_two_sub_one),
    "turnaround": Kind(_turnaround, _say_turnaround),
    "dominant-chain": Kind(_dominant_chain, _say_dominant_chain),
    "circle": Kind(_circle, _say_circle),
    "thirds-cycle": Kind(_thirds_cycle, _say_thirds_cycle),
}
