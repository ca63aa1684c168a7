"""Changes as the remarks see them: every chord with its key and its neighbours."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from gripwright.harmony.claims import Claim
from gripwright.harmony.facts import Facts
from gripwright.neck.grip import Grip
from gripwright.theory.scale import Key


@dataclass(frozen=True, slots=True)
class Place:
    """A chord in its key; ``rests`` where a blues gives it a seventh that leans nowhere."""

    chord: Facts
    key: Key
    rests: bool = False

    @property
    def degree(self) -> int:
        """Return the semitones of the root above the tonic."""
        return (self.chord.root - self.key.tonic.pc) % 12


@dataclass(frozen=True, slots=True)
class Stop:
    """A place in the changes: what is struck again is one stop, told at its first ``index``."""

    index: int
    place: Place
    grip: Grip | None = None

    @property
    def chord(self) -> Facts:
        """Return the facts of its chord."""
        return self.place.chord


# What can be told of a chord from its two neighbours, None at the ends.
Moments = Callable[[Place | None, Place, Place | None], Iterator[Claim]]
# What takes a longer stretch: the index it is told at, and the claim.
Runs = Callable[[Sequence[Stop]], Iterator[tuple[int, Claim]]]
