"""Changes as the remarks see them: every chord with its key and its neighbours."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import Facts
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import STANDARD_NECK, Neck
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol


@dataclass(frozen=True, eq=False, slots=True)
class Place:
    """A chord in its key; `place_of` returns the same object for the same.

    ``rests`` where a blues gives it a seventh that leans nowhere; ``degree`` is its root in
    semitones above the tonic.
    """

    chord: Facts
    key: Key
    rests: bool = False
    degree: int = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "degree", (self.chord.root - self.key.tonic.pc) % 12)


@lru_cache(maxsize=16384)
def place_of(chord: Facts, key: Key, rests: bool = False) -> Place:
    """Return the place of a chord in a key."""
    return Place(chord, key, rests)


class Stop(NamedTuple):
    """A place in the changes: what is struck again is one stop, told where it comes first.

    ``at`` is the index of that chord, ``chord`` the one of its place; ``heard`` are the notes of
    its grip on the ``neck``, as MIDI, none without a grip.
    """

    at: int
    place: Place
    chord: Facts
    grip: Grip | None = None
    neck: Neck = STANDARD_NECK
    heard: tuple[int, ...] = ()


def symbols_of(stops: Sequence[Stop]) -> tuple[ChordSymbol, ...]:
    """Return the symbols of stops, the subject of a claim."""
    return tuple(stop.place.chord.symbol for stop in stops)


# What can be told of a chord from its two neighbours, None at the ends.
Moments = Callable[[Place | None, Place, Place | None], Iterator[Claim]]
# What takes a longer stretch: the position of the stop it starts at, and the claim.
Runs = Callable[[Sequence[Stop]], Iterator[tuple[int, Claim]]]
