"""Applied chords: a dominant or leading-tone chord of another degree than the tonic.

A chord is applied to the degree a fifth below a major triad or dominant seventh, or a half
step above a diminished chord, when it brings a note from outside the key and the degree is
the root of one of the key's own triads. A plain triad must go there; a seventh or diminished
chord need not, unless the style has another use for it. Common practice, no source; the rules
were compared with the analyses named in docs/harmony.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from gripwright.harmony.facts import LEADING_KINDS, Facts
from gripwright.theory.scale import MODES, Key

# The triads an applied chord may lean on, by semitones above the tonic: (numeral, its quality).
_GOALS_MAJOR = {2: "ii", 4: "iii", 5: "IV", 7: "V", 9: "vi"}
_GOALS_MINOR = {3: "bIII", 5: "iv", 7: "V", 8: "bVI", 10: "bVII"}
MINOR_MODES = ("minor", "dorian", "phrygian")
_PLAIN_IN_MINOR = {5, 10}  # the triads I and IV of a minor key are not applied by themselves
_IDIOMS = {0, 5}  # I7 and IV7 of a blues stay what they are unless they go where they lead
_AFTER_MAJOR_TWO = {0, 5}  # II to IV or I is a colour, not a dominant


@dataclass(frozen=True, slots=True)
class Applied:
    """What a chord is applied to: ``goal`` a numeral, ``pc`` its pitch class."""

    role: Literal["V", "vii"]
    goal: str
    pc: int
    reached: bool


@lru_cache(maxsize=256)
def collection(key: Key) -> frozenset[int]:
    """Return the pitch classes of a key; a minor one has its leading note and natural six too."""
    notes = {(key.tonic.pc + degree.pc) % 12 for degree in MODES[key.mode]}
    if key.mode == "minor":
        notes |= {(key.tonic.pc + 11) % 12}
    return frozenset(notes)


@lru_cache(maxsize=16384)
def applied_to(chord: Facts, key: Key, after: Facts | None) -> Applied | None:
    """Return what a chord is applied to in a key, None when it is not applied."""
    role: Literal["V", "vii"]
    if chord.kind in ("maj", "7"):
        role, pc = "V", (chord.root + 5) % 12
    elif chord.kind in LEADING_KINDS:
        role, pc = "vii", (chord.root + 1) % 12
    else:
        return None
    outside = {note for note in chord.pcs if note not in collection(key)}
    place = (pc - key.tonic.pc) % 12
    goals = _GOALS_MINOR if key.mode in MINOR_MODES else _GOALS_MAJOR
    if not outside or place not in goals:
        return None
    reached = after is not None and after.root == pc and after.kind not in LEADING_KINDS
    if (role, place) == ("vii", 10) and not (reached and _is_led_up(chord, after)):
        return None  # what else stands on the raised six of minor is its own
    if not reached and not _stands_alone(chord, key, after):
        return None
    plain = chord.kind == "maj" and goals is _GOALS_MINOR and place in _PLAIN_IN_MINOR
    if plain and not (place == 5 and _leans_up(chord, after)):
        return None
    goal = goals[place]
    if reached and place == 7 and after is not None and after.third == "minor":
        goal = "v"
    return Applied(role, goal, pc, reached)


def _is_led_up(chord: Facts, after: Facts | None) -> bool:
    return chord.kind != "hdim" and after is not None and after.third == "major"


def _leans_up(chord: Facts, after: Facts | None) -> bool:
    """Return whether a triad over its third goes a half step up, to a minor chord in root position.

    So I6 of a minor key is heard as the dominant of iv, not as the tonic in major.
    """
    over_third = (chord.bass - chord.root) % 12 == 4
    return over_third and after is not None and after.third == "minor" and after.bass == after.root


def _stands_alone(chord: Facts, key: Key, after: Facts | None) -> bool:
    """Return whether a chord that does not reach its goal is still heard as applied to it."""
    place = (chord.root - key.tonic.pc) % 12
    if after is None or place in _IDIOMS:
        return False
    if chord.kind == "maj" and place == 2:
        return (after.root - key.tonic.pc) % 12 not in _AFTER_MAJOR_TWO
    if chord.kind in LEADING_KINDS and after.root in chord.pcs:
        return False  # it leads by common tone
    if chord.kind == "dim7" and (chord.bass - after.bass) % 12 == 1:
        return False  # it passes
    if chord.kind == "maj" and place in (4, 9):
        return (after.root - key.tonic.pc) % 12 == 5  # III and VI may deceive to IV
    if (
        chord.kind in ("dim", "hdim")
        and (chord.root - after.root) % 12 == 7
        and after.third == "major"
    ):
        return False  # it is the two of a five
    return chord.kind not in ("maj", "7") or place in (2, 4, 9)
