"""One string set sounding: what the performance hands to synthesis, MIDI and pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from gripwright.beats import Quarters
from gripwright.lesson.model import Technique

Attack = Literal[
    "pluck", "down", "up", "roll-up", "roll-down", "slide", "hammer", "pull", "release"
]
CONNECTED: tuple[Attack, ...] = ("slide", "hammer", "pull", "release")


@dataclass(frozen=True, slots=True)
class Sound:
    """One string set sounding.

    ``start`` and ``length`` are performed quarters, ``delay_s`` seconds after ``start``;
    ``string`` 1 is the treble side, ``fret`` counts from the capo, ``midi`` is what is heard
    (a natural harmonic's partial; for a bend and its release the fretted note). ``velocity``
    is 0 to 1. ``event`` is the index in `gripwright.lesson.unroll.played_events`, None for a
    lick. An ``attack`` in `CONNECTED` goes on from the sound before it on the string.
    ``bend_semitones`` is how far a bend rises, or from how far above a release comes down.
    """

    start: Quarters
    length: Quarters
    string: int
    fret: int
    midi: int
    velocity: float
    attack: Attack = "pluck"
    delay_s: float = 0.0
    event: int | None = None
    techniques: tuple[Technique, ...] = ()
    bend_semitones: int = 0

    @property
    def end(self) -> Quarters:
        """Return where it stops sounding, in performed quarters."""
        return self.start + self.length
