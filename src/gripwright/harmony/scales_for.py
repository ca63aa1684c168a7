"""Scales that a chord may carry in its key.

A scale is offered when it holds every note that the chord claims and departs from the key as
little as any scale that does; dominants that lead home, or stand on a tension, have scales of
their own beside it. None is claimed where every candidate departs by more than two notes.
Scale contents are those of any open harmony textbook (checked against music21 in the tests);
which ones are offered is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from gripwright.harmony.applied import collection
from gripwright.harmony.facts import Facts
from gripwright.theory.interval import Degree, degrees
from gripwright.theory.scale import Key

SCALES: dict[str, tuple[Degree, ...]] = {
    "major": degrees("1 2 3 4 5 6 7"),
    "dorian": degrees("1 2 b3 4 5 6 b7"),
    "phrygian": degrees("1 b2 b3 4 5 b6 b7"),
    "lydian": degrees("1 2 3 #4 5 6 7"),
    "mixolydian": degrees("1 2 3 4 5 6 b7"),
    "minor": degrees("1 2 b3 4 5 b6 b7"),
    "locrian": degrees("1 b2 b3 4 b5 b6 b7"),
    "harmonic minor": degrees("1 2 b3 4 5 b6 7"),
    "melodic minor": degrees("1 2 b3 4 5 6 7"),
    "phrygian dominant": degrees("1 b2 3 4 5 b6 b7"),
    "mixolydian b6": degrees("1 2 3 4 5 b6 b7"),
    "lydian dominant": degrees("1 2 3 #4 5 6 b7"),
    "locrian natural 2": degrees("1 2 b3 4 b5 b6 b7"),
    "lydian augmented": degrees("1 2 3 #4 #5 6 7"),
    "altered": degrees("1 b2 #2 3 b5 #5 b7"),
    "whole tone": degrees("1 2 3 #4 #5 b7"),
    "half-whole diminished": degrees("1 b2 #2 3 #4 5 6 b7"),
    "whole-half diminished": degrees("1 2 b3 4 b5 b6 6 7"),
}
_PCS = {name: frozenset(degree.pc for degree in content) for name, content in SCALES.items()}
FARTHEST = 2  # notes outside the key beyond which nothing is claimed
MOST = 3
_FALLING = {7: ("altered", "half-whole diminished"), 1: ("lydian dominant",)}
_SYMMETRIC = {"dim7": "whole-half diminished", "aug": "whole tone"}
# Scales that nobody plays on another kind of chord, even where they hold its notes.
_ONLY_ON = {"altered": "7", "half-whole diminished": "7", "whole-half diminished": "dim7"}
_IN_ORDER = {name: place for place, name in enumerate(SCALES)}


@dataclass(frozen=True, slots=True)
class _Fit:
    name: str
    strange: int  # notes outside the key that the chord itself did not bring


@lru_cache(maxsize=16384)
def scales_for(chord: Facts, key: Key, goal: Facts | None = None) -> tuple[str, ...]:
    """Return the names of the scales a chord may carry, the nearest first, perhaps none.

    ``goal`` is the chord it goes to.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.scale import parse_key
    >>> from gripwright.theory.symbol import parse_symbol
    >>> scales_for(facts_of(parse_symbol("Fmaj7")), parse_key("C major"))
    ('F lydian',)
    """
    if goal is None and chord.kind == "maj" and key.mode == "minor" and chord.root == key.tonic.pc:
        return (f"{chord.symbol.root.name} major",)  # a Picardy third closes in major
    fits = sorted(_fits(chord, key), key=lambda fit: (fit.strange, _IN_ORDER[fit.name]))
    if not fits or fits[0].strange > FARTHEST:
        return ()
    least = fits[0].strange
    names = [fit.name for fit in fits if fit.strange == least]
    wanted = _by_fall(chord, goal) if chord.dominant else (_SYMMETRIC.get(chord.kind, ""),)
    names += [fit.name for fit in fits if fit.name in wanted and fit.name not in names]
    if wanted == _FALLING[1] and wanted[0] in names:
        names = list(wanted)
    return tuple(f"{chord.symbol.root.name} {name}" for name in names[:MOST])


def _fits(chord: Facts, key: Key) -> list[_Fit]:
    """Return the scales on the chord's root that hold all of its notes."""
    inside = {(pc - chord.root) % 12 for pc in collection(key)}
    own = {(pc - chord.root) % 12 for pc in chord.pcs}
    return [
        _Fit(name, len(notes - inside - own))
        for name, notes in _PCS.items()
        if own <= notes and _ONLY_ON.get(name, chord.kind) == chord.kind
    ]


def scales_at_rest(chord: Facts, key: Key) -> tuple[str, ...]:
    """Return the scales of a blues over a dominant seventh that leans nowhere.

    The blues scale of the tonic goes over all of it; on the fourth degree the lydian
    dominant beside the mixolydian. Common practice, no source.
    """
    own = {(pc - chord.root) % 12 for pc in chord.pcs}
    names = ["mixolydian"] if chord.root == key.tonic.pc else ["mixolydian", "lydian dominant"]
    fitting = [f"{chord.symbol.root.name} {name}" for name in names if own <= _PCS[name]]
    return (f"{key.tonic.name} blues", *fitting)


def _by_fall(chord: Facts, goal: Facts | None) -> tuple[str, ...]:
    """Return the scales of a dominant seventh by how far its root falls to the next chord."""
    return _FALLING.get((chord.root - goal.root) % 12, ()) if goal is not None else ()
