"""Scales that a chord may carry in its key.

A scale is offered when it is in use on that kind of chord and holds every note that the symbol
claims. On a chord of the key, or applied to a degree of it, that scale comes first which departs
from the key by the fewest notes; on a borrowed one its lender has a say; on any other the scale
that players reach for. A dominant that goes to a chord the key does not have is heard in the key
of that chord. Scale contents are those of any open harmony textbook (checked against music21 in
the tests); which ones are offered is common practice, no source.
"""

from __future__ import annotations

from functools import lru_cache

from gripwright.harmony.applied import applied_to, collection
from gripwright.harmony.facts import LEADING_KINDS, Facts
from gripwright.harmony.lenders import lender_of
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
    "major augmented": degrees("1 2 3 4 #5 6 7"),
    "altered": degrees("1 b2 #2 3 b5 #5 b7"),
    "whole tone": degrees("1 2 3 #4 #5 b7"),
    "half-whole diminished": degrees("1 b2 #2 3 #4 5 6 b7"),
    "whole-half diminished": degrees("1 2 b3 4 b5 b6 6 7"),
}
_PCS = {name: frozenset(degree.pc for degree in content) for name, content in SCALES.items()}
MOST = 3
# Scales in use on each kind of chord, what players reach for first where the key has no say.
_USED = {
    "maj": ("lydian", "major", "mixolydian"),
    "maj7": ("lydian", "major", "lydian augmented", "major augmented"),
    "7": ("lydian dominant", "mixolydian", "phrygian dominant", "mixolydian b6", "altered",
          "whole tone", "half-whole diminished"),
    "min": ("dorian", "minor", "phrygian", "melodic minor", "harmonic minor"),
    "min7": ("dorian", "minor", "phrygian"),
    "hdim": ("locrian natural 2", "locrian"),
    "dim": ("locrian", "locrian natural 2", "whole-half diminished"),
    "dim7": ("whole-half diminished",),
    "aug": (),  # by where it stands
    "other": ("mixolydian", "dorian", "major", "lydian", "minor", "phrygian"),
}  # fmt: skip
_LEANING = ("phrygian dominant", "mixolydian b6")  # on triads that lean like a dominant
_MINORS = ("minor", "melodic minor", "harmonic minor")
_ON_PLAIN = ("half-whole diminished",)  # beside the scale of a dominant that falls a fifth
_ON_TENSE = ("half-whole diminished", "whole tone", "altered")  # beside it on an altered one
_TENSE = frozenset({1, 3, 8})  # altered notes above its root; a sharp eleven is a colour
# Degrees whose minor triads take the minors with a raised seventh.
_MINOR_HOMES = (0, 5)
_RAISED = ("melodic minor", "harmonic minor")
# What a dominant may lean on where the changes end with it: degrees above the tonic.
_GOALS = {"major": (2, 4, 5, 7, 9), "minor": (3, 5, 7, 8, 10)}


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
    names = _by_key(chord, _local_key(chord, key, goal), goal)
    names = tuple(dict.fromkeys((*names, *_beside(chord, key, goal))))
    return tuple(f"{chord.symbol.root.name} {name}" for name in names[:MOST])


def scales_at_rest(chord: Facts, key: Key) -> tuple[str, ...]:
    """Return the scales of a blues over a dominant seventh that leans nowhere.

    The blues scale of the tonic goes over all of it; on the fourth degree the lydian
    dominant beside the mixolydian. Common practice, no source.
    """
    own = _above(chord)
    names = ["mixolydian"] if chord.root == key.tonic.pc else ["mixolydian", "lydian dominant"]
    fitting = [f"{chord.symbol.root.name} {name}" for name in names if own <= _PCS[name]]
    return (f"{key.tonic.name} blues", *fitting)


def _by_key(chord: Facts, key: Key, goal: Facts | None) -> tuple[str, ...]:
    """Return the scales that a chord has from its place in the key."""
    fitting = _fitting(chord, key, goal)
    if chord.kind == "aug":
        return fitting
    if not fitting or _fall(chord, goal) == 1:
        return tuple(name for name in fitting if name == "lydian dominant") or fitting[:1]
    near = _nearest(fitting, chord, key)
    flamenco = key.mode == "phrygian" and chord.root == key.tonic.pc and chord.kind in ("maj", "7")
    if flamenco or chord.pcs <= collection(key) or _leads(chord, key, goal):
        if chord.kind == "min" and key.mode == "minor" and chord.root == key.tonic.pc:
            return tuple(name for name in (*_MINORS, "dorian") if name in fitting)
        return near
    lender = lender_of(chord, key)
    if lender is None:
        at_home = _falls_a_fifth(chord, goal) or _has_own_triad(chord, key)
        return near if at_home else fitting[:1]
    lent = _nearest(fitting, chord, lender)
    return (*lent, *near) if chord.third == "minor" else (*near, *lent)


def _has_own_triad(chord: Facts, key: Key) -> bool:
    """Return whether a chord is one of the key's own but for what stands on its minor triad."""
    triad = {(chord.root + size) % 12 for size in (0, 3, 7)}
    return chord.third == "minor" and triad <= collection(key)


def _beside(chord: Facts, key: Key, goal: Facts | None) -> tuple[str, ...]:
    """Return what players use beside the scale of the key."""
    place = (chord.root - key.tonic.pc) % 12
    minor = key.mode == "minor"
    names: tuple[str, ...] = ()
    leans = _falls_a_fifth(chord, goal) and (key.mode, place) != ("mixolydian", 0)
    if chord.dominant and (_is_tense(chord) or leans):
        names = _ON_TENSE if _is_tense(chord) else _ON_PLAIN
    elif minor and chord.kind == "hdim" and place == 2:
        names = ("locrian natural 2",)
    elif minor and place == 0 and chord.kind == "min7":
        names = ("dorian",)
    elif chord.kind == "other" and 10 in chord.above:
        names = ("mixolydian",)
    return tuple(name for name in names if _holds(name, chord))


def _local_key(chord: Facts, key: Key, goal: Facts | None) -> Key:
    """Return the key a dominant is heard in: that of a goal which the key does not have."""
    if goal is None or not chord.dominant or not _falls_a_fifth(chord, goal):
        return key
    place = (goal.root - key.tonic.pc) % 12
    if place == 0 or applied_to(chord, key, goal) or goal.pcs <= collection(key):
        return key
    return Key(goal.symbol.root, "minor" if goal.third == "minor" else "major")


def _fitting(chord: Facts, key: Key, goal: Facts | None) -> tuple[str, ...]:
    """Return the scales in use on a kind of chord that hold its notes."""
    names = _USED[chord.kind]
    place = (chord.root - key.tonic.pc) % 12
    if chord.kind == "maj" and _leans(chord, key, goal):
        names = (*names, *_LEANING)
    elif chord.kind == "min" and place not in _MINOR_HOMES and 11 not in chord.above:
        names = tuple(name for name in names if name not in _RAISED)
    elif chord.kind == "aug":
        names = _on_augmented(chord, key, goal)
    return tuple(name for name in names if _holds(name, chord))


def _on_augmented(chord: Facts, key: Key, goal: Facts | None) -> tuple[str, ...]:
    """Return the scales of an augmented triad: III of minor, a raised dominant, any other."""
    if key.mode == "minor" and (chord.root - key.tonic.pc) % 12 == 3:
        return ("major augmented", "lydian augmented")
    falls = goal is not None and (chord.root - goal.root) % 12 == 7
    return ("whole tone", "altered") if falls else ("whole tone", "lydian augmented")


def _holds(name: str, chord: Facts) -> bool:
    """Return whether a scale has a chord's notes; the altered one may go without its fifth."""
    own, notes = _above(chord), _PCS[name]
    if name == "altered" and _is_tense(chord):
        own = own - {7}
    raised = 8 in chord.above and 7 not in chord.above and chord.third == "major"
    if name == "whole tone" and not raised:
        return False
    return own <= notes and not (raised and 7 in notes)


def _is_tense(chord: Facts) -> bool:
    """Return whether a dominant has an altered note and no natural ninth or thirteenth."""
    return chord.dominant and not chord.above & {2, 9} and bool(chord.above & _TENSE)


def _leans(chord: Facts, key: Key, goal: Facts | None) -> bool:
    """Return whether a major triad leans like a dominant: applied, V of minor, or flamenco's I."""
    place = (chord.root - key.tonic.pc) % 12
    at_home = (key.mode, place) in (("minor", 7), ("phrygian", 0))
    return at_home or _leads(chord, key, goal)


def _leads(chord: Facts, key: Key, goal: Facts | None) -> bool:
    """Return whether a chord is applied, or would be if the changes went on."""
    if goal is not None or chord.third != "major" or chord.kind == "maj7":
        return applied_to(chord, key, goal) is not None
    minor = key.mode in ("minor", "dorian", "phrygian")
    return (chord.root + 5 - key.tonic.pc) % 12 in _GOALS["minor" if minor else "major"]


def _nearest(names: tuple[str, ...], chord: Facts, key: Key) -> tuple[str, ...]:
    """Return the scales that depart from a key by the fewest notes beside the chord's own."""
    inside = {(pc - chord.root) % 12 for pc in collection(key)} | _above(chord)
    strange = {name: len(_PCS[name] - inside) for name in names}
    return tuple(name for name in names if strange[name] == min(strange.values()))


def _above(chord: Facts) -> frozenset[int]:
    return frozenset((pc - chord.root) % 12 for pc in chord.pcs)


def _fall(chord: Facts, goal: Facts | None) -> int | None:
    """Return by how many semitones the root of a dominant falls to its goal."""
    return (chord.root - goal.root) % 12 if goal is not None and chord.dominant else None


def _falls_a_fifth(chord: Facts, goal: Facts | None) -> bool:
    lands = goal is not None and goal.kind not in LEADING_KINDS
    return lands and _fall(chord, goal) == 7
