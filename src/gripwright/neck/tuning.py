"""Tunings and necks.

A tuning lists the open strings from the bass side (string N) to the treble side (string 1);
re-entrant tunings keep that order, so the lowest pitch need not be the first.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

from gripwright.errors import NoteError, TuningError
from gripwright.theory.pitch import Pitch, parse_pitch

MIN_STRINGS, MAX_STRINGS, MAX_FRET = 4, 8, 24


@dataclass(frozen=True, slots=True)
class Tuning:
    """Open strings, bass side first.

    >>> parse_tuning("E2 A2 D3 G3 B3 E4").midi
    (40, 45, 50, 55, 59, 64)
    """

    strings: tuple[Pitch, ...]

    @property
    def midi(self) -> tuple[int, ...]:
        """Return the MIDI numbers, bass side first."""
        return tuple(pitch.midi for pitch in self.strings)

    @property
    def text(self) -> str:
        """Return the writing that `parse_tuning` reads back."""
        return " ".join(pitch.name for pitch in self.strings)

    def __len__(self) -> int:
        return len(self.strings)


@dataclass(frozen=True, slots=True)
class Neck:
    """A tuning with capo stops, one a string, bass side first; fret 0 is the stop.

    A full capo at 2 is ``stops=(2,) * 6``; a partial capo leaves some at 0. A string's frets
    are counted from its own stop, so string ``i`` at fret ``f`` is pressed at ``stops[i] + f``
    from the nut.
    """

    tuning: Tuning
    stops: tuple[int, ...]
    opens: tuple[int, ...] = field(init=False, repr=False, compare=False)  # MIDI of fret 0

    def __post_init__(self) -> None:
        opens = tuple(midi + stop for midi, stop in zip(self.tuning.midi, self.stops, strict=True))
        object.__setattr__(self, "opens", opens)

    def midi(self, index: int, fret: int) -> int:
        """Return the MIDI number of a fret on the string at ``index`` (0 = bass side)."""
        return self.opens[index] + fret

    @property
    def capo(self) -> int | None:
        """Return the fret of a full capo, 0 for none, None for a partial one."""
        return self.stops[0] if len(set(self.stops)) == 1 else None

    @property
    def re_entrant(self) -> bool:
        """Tell whether some string is tuned below the one on its bass side."""
        return any(low > high for low, high in pairwise(self.opens))

    def __len__(self) -> int:
        return len(self.tuning)


def string_number(index: int, strings: int) -> int:
    """Return the string number (1 = treble side) of a bass-side-first index."""
    return strings - index


@lru_cache(maxsize=256)
def parse_tuning(text: str) -> Tuning:
    """Read a tuning given as note names with octaves, bass side first.

    Raises TuningError naming the string that does not parse.
    """
    names = text.replace(",", " ").split()
    if not MIN_STRINGS <= len(names) <= MAX_STRINGS:
        raise TuningError(
            f"a tuning has {MIN_STRINGS} to {MAX_STRINGS} strings, got {len(names)} in {text!r}",
            field="tuning", remedy='write note names, bass side first: "E2 A2 D3 G3 B3 E4"',
        )  # fmt: skip
    pitches = []
    for position, name in enumerate(names):
        try:
            pitches.append(parse_pitch(name))
        except NoteError as error:
            raise TuningError(
                f"{name!r}, place {position + 1} of the tuning, is not a pitch",
                field="tuning", at=position, remedy="write a note and its octave, such as D2",
            ) from error  # fmt: skip
    return Tuning(tuple(pitches))


STANDARD = parse_tuning("E2 A2 D3 G3 B3 E4")


def make_neck(tuning: Tuning = STANDARD, capo: int | tuple[int, ...] = 0) -> Neck:
    """Return a neck with a full capo, or a partial one as one stop a string.

    Raises TuningError for a capo off the neck or of another number of strings.
    """
    stops = (capo,) * len(tuning) if isinstance(capo, int) else tuple(capo)
    if len(stops) != len(tuning):
        raise TuningError(
            f"the capo has {len(stops)} stops, the tuning {len(tuning)} strings",
            field="capo", remedy="give one fret, or one stop for each string",
        )  # fmt: skip
    if any(not 0 <= stop <= 12 for stop in stops):
        raise TuningError(
            f"a capo sits at fret 0 to 12, got {max(stops, key=abs)}", field="capo",
            remedy="give a fret from 0 (none) to 12",
        )  # fmt: skip
    return Neck(tuning, stops)


STANDARD_NECK = make_neck()
