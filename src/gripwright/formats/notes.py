"""Notes from outside: what a MIDI or MusicXML file says sounds, and when.

Times are exact quarters from the start, repeats not unrolled; ties are joined.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from gripwright.beats import Metre, Quarters
from gripwright.theory.pitch import Note


@dataclass(frozen=True, slots=True, order=True)
class TimedNote:
    """One note: ``spelling`` where the file has one; ``part`` counts from 0.

    ``staff`` counts from 1 from the top of its part; ``voice`` is the file's own word (a MIDI
    channel, a MusicXML voice).
    """

    start: Quarters
    length: Quarters
    midi: int
    spelling: Note | None = None
    part: int = 0
    staff: int = 1
    voice: str = ""

    @property
    def end(self) -> Quarters:
        """Return where it ends."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class NoteList:
    """All notes of a file in order of start, with its bars, metres and tempos.

    ``bars`` are the starts of the bars; ``metres`` and ``tempos`` (quarters a minute) hold from
    their place on; ``parts`` are the names of the parts. Empty where the file has none.
    """

    notes: tuple[TimedNote, ...]
    bars: tuple[Quarters, ...] = ()
    metres: tuple[tuple[Quarters, Metre], ...] = ()
    tempos: tuple[tuple[Quarters, Fraction], ...] = ()
    parts: tuple[str, ...] = ()
    title: str = ""

    @property
    def end(self) -> Quarters:
        """Return where the last note ends."""
        return max((note.end for note in self.notes), default=Fraction(0))
