"""Licks: what each note is against the chord under it, and the mode they imply.

A chord tone is claimed by the symbol. Of the rest, a note that is struck again as a tone of the
next chord is an *anticipation*; one that stays from the chord before and steps down to a chord
tone is a *suspension*; a note between two neighbours a step away in one direction is *passing*; one
that leaves a chord tone by step and returns is a *neighbour*; one that leads by a half step to a
tone of the chord under the next note is an *approach*, and so is the first of two notes that close
in on it, from both sides or in a row. What none of these explains is a *tension* if a scale of
the chord holds it, a *blue note* if it is the tonic's flat third, fifth or seventh, else
*outside*. A note longer than both neighbours is heard for itself. Letters are those of
`lick_letters`; a degree is counted from the chord's root to the letter. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from gripwright.harmony.facts import facts_of
from gripwright.harmony.lick_letters import BLUE, Struck, lick_letters
from gripwright.harmony.scales_for import SCALES, scales_for
from gripwright.harmony.tones import PLAIN_DEGREES
from gripwright.theory.interval import Degree, degree_between, degrees
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

Role = Literal[
    "chord tone", "anticipation", "suspension", "passing", "neighbour", "approach", "tension",
    "blue note", "outside",
]  # fmt: skip
# Scales that a collection may imply: the modes and the two other minors.
IMPLIED = ("major", "dorian", "phrygian", "lydian", "mixolydian", "minor", "locrian",
           "harmonic minor", "melodic minor")  # fmt: skip
FEWEST_NOTES = 6  # different notes below which no mode is claimed
STEP = 2
# A note that its chord does not claim: seconds, fourths and sixths are told as tensions, and these
# degrees are said; what would be another is told by its sound.
_TENSIONS = {2: 9, 4: 11, 6: 13}
_NAMED = frozenset(degrees("1 #1 b9 9 #9 b3 3 11 #11 b5 5 #5 b13 13 #13 b7 7"))


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
    >>> [f"{one.note} {one.degree} {one.role}" for one in judge(line, parse_key("C major"))][:4]
    ['E 3 chord tone', 'D# #9 neighbour', 'E 3 chord tone', 'F 11 passing']
    """
    struck = [Struck(tone.midi, tone.chord, tone.spelled) for tone in tones]
    return tuple(
        Judged(note, _degree(tone, note), _role(tones, index, key))
        for index, (tone, note) in enumerate(zip(tones, lick_letters(struck, key), strict=True))
    )


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


def _degree(tone: LickTone, note: Note) -> Degree:
    """Return a note's degree: as the chord claims it, else from its letter, else plain."""
    root = tone.chord.root
    above = (note.pc - root.pc) % 12
    lettered = degree_between(root, note)
    claimed = [degree for degree in tone.chord.degrees if degree.pc == above]
    if claimed and lettered.number == (claimed[0].number - 1) % 7 + 1:
        return claimed[0]
    named = Degree(_TENSIONS.get(lettered.number, lettered.number), lettered.alter)
    return named if named in _NAMED else PLAIN_DEGREES[above]


def _role(tones: Sequence[LickTone], index: int, key: Key) -> Role:
    tone = tones[index]
    if _belongs(tone):
        return "chord tone"
    before = tones[index - 1] if index else None
    after = tones[index + 1] if index + 1 < len(tones) else None
    return (
        _held_over(before, tone, after)
        or _by_step(before, tone, after)
        or _leading(tone, after, tones[index + 2] if index + 2 < len(tones) else None)
        or _heard_for_itself(tone, key)
    )


def _held_over(before: LickTone | None, tone: LickTone, after: LickTone | None) -> Role | None:
    """Return what a note is that sounds before its chord comes, or after it has gone."""
    if after is None:
        return None
    if after.midi == tone.midi and after.chord != tone.chord and _belongs(after):
        return "anticipation"
    stays = before is not None and before.midi == tone.midi and _belongs(before)
    if stays and 0 < tone.midi - after.midi <= STEP and _belongs(after):
        return "suspension"
    return None


def _by_step(before: LickTone | None, tone: LickTone, after: LickTone | None) -> Role | None:
    """Return what a note is that is reached and left by step."""
    if not before or not after or _is_longest(before, tone, after):
        return None
    into, out = tone.midi - before.midi, after.midi - tone.midi
    if not (0 < abs(into) <= STEP and 0 < abs(out) <= STEP):
        return None
    if into * out > 0 and (_belongs(before) or _belongs(after)):
        return "passing"
    return "neighbour" if before.midi == after.midi and _belongs(before) else None


def _leading(tone: LickTone, after: LickTone | None, goal: LickTone | None) -> Role | None:
    """Return whether a note leads to a chord tone: by a half step, or as the first of two."""
    if after is None or tone.length > after.length:
        return None
    if abs(after.midi - tone.midi) == 1 and _belongs(after):
        return "approach"
    if goal is None or _belongs(after) or not _belongs(goal) or tone.length > goal.length:
        return None
    near, far = goal.midi - after.midi, goal.midi - tone.midi
    closes_in = abs(near) == 1 and 0 < abs(far) <= STEP
    return "approach" if closes_in else None


def _is_longest(before: LickTone, tone: LickTone, after: LickTone) -> bool:
    return tone.length > before.length and tone.length > after.length


def _heard_for_itself(tone: LickTone, key: Key) -> Role:
    if _in_a_scale(tone, key):
        return "tension"
    blue = (tone.midi - key.tonic.pc) % 12 in BLUE.get(key.mode, ())
    return "blue note" if blue else "outside"


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
