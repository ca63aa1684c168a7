"""Licks: what each note is against the chord under it, and the mode they imply.

A chord tone is claimed by the symbol. Of the rest, a note between two neighbours a step away in
one direction is *passing*, one that leads by a half step to a chord tone of the chord under
the next note is an *approach*, one that leaves a chord tone by step and returns is a
*neighbour*; what none of these explains is a *tension* if a scale of the chord holds it, else
*outside*. A note longer than both neighbours is heard for itself. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from gripwright.harmony.facts import facts_of
from gripwright.harmony.scales_for import SCALES, scales_for
from gripwright.harmony.tones import PLAIN_DEGREES
from gripwright.theory.interval import Degree, degree_between
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.scale import Key
from gripwright.theory.spelling import degree_note
from gripwright.theory.symbol import ChordSymbol

Role = Literal["chord tone", "passing", "approach", "neighbour", "tension", "outside"]
# Scales that a collection may imply: the modes and the two other minors.
IMPLIED = ("major", "dorian", "phrygian", "lydian", "mixolydian", "minor", "locrian",
           "harmonic minor", "melodic minor")  # fmt: skip
FEWEST_NOTES = 6  # different notes below which no mode is claimed
STEP = 2


@dataclass(frozen=True, slots=True)
class LickTone:
    """A note of a lick: how it sounds, how long (any one unit), and the chord under it."""

    midi: int
    length: float
    chord: ChordSymbol
    spelled: Note | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """A note's spelling, its degree against the chord under it, and what it does there."""

    note: Note
    degree: Degree
    role: Role


def judge(tones: Sequence[LickTone], key: Key) -> tuple[Judged, ...]:
    """Return what each note of a lick is.

    >>> from gripwright.theory.scale import parse_key
    >>> from gripwright.theory.symbol import parse_symbol
    >>> c = parse_symbol("C")
    >>> line = [LickTone(midi, 1, c) for midi in (64, 63, 64, 65, 67)]
    >>> [f"{one.degree} {one.role}" for one in judge(line, parse_key("C major"))]
    ['3 chord tone', 'b3 neighbour', '3 chord tone', '11 passing', '5 chord tone']
    """
    judged = []
    for index, tone in enumerate(tones):
        before = tones[index - 1] if index else None
        after = tones[index + 1] if index + 1 < len(tones) else None
        note, degree = _spelled(tone)
        judged.append(Judged(note, degree, _role(before, tone, after, key)))
    return tuple(judged)


def implied_mode(midi: Iterable[int], tonic: Note) -> str | None:
    """Return the one mode on a tonic that holds a collection, None if none or several do.

    >>> implied_mode([62, 64, 65, 67, 69, 71, 72], Note(1))
    'D dorian'
    """
    above = {(number - tonic.pc) % 12 for number in midi}
    fits = [name for name in IMPLIED if above <= {degree.pc for degree in SCALES[name]}]
    if len(above) < FEWEST_NOTES or len(fits) != 1:
        return None
    return f"{tonic.name} {fits[0]}"


def _spelled(tone: LickTone) -> tuple[Note, Degree]:
    """Return the spelling and the degree: as fixed, as the chord claims it, or plain."""
    root = tone.chord.root
    if tone.spelled is not None:
        return tone.spelled, degree_between(root, tone.spelled)
    above = (tone.midi - root.pc) % 12
    claimed = [degree for degree in tone.chord.degrees if degree.pc == above]
    degree = claimed[0] if claimed else PLAIN_DEGREES[above]
    return degree_note(root, degree), degree


def _role(before: LickTone | None, tone: LickTone, after: LickTone | None, key: Key) -> Role:
    if _belongs(tone):
        return "chord tone"
    here = [tone.midi - other.midi for other in (before, after) if other is not None]
    longest = all(tone.length > other.length for other in (before, after) if other is not None)
    if before and after and not longest and all(0 < abs(step) <= STEP for step in here):
        if here[0] * here[1] < 0 and (_belongs(before) or _belongs(after)):
            return "passing"
        if before.midi == after.midi and _belongs(before):
            return "neighbour"
    if after and not longest and abs(after.midi - tone.midi) == 1 and _belongs(after):
        return "approach"
    return "tension" if _in_a_scale(tone, key) else "outside"


def _belongs(tone: LickTone) -> bool:
    return tone.midi % 12 in tone.chord.pcs


def _in_a_scale(tone: LickTone, key: Key) -> bool:
    root = tone.chord.root
    names = (name.split(" ", 1) for name in scales_for(facts_of(tone.chord), key))
    return any(
        (tone.midi - parse_note(tonic).pc) % 12 in {degree.pc for degree in SCALES[scale]}
        for tonic, scale in names
        if parse_note(tonic) == root
    )
