"""Who follows whom between two grips.

The lowest note goes to the lowest and the highest to the highest. A string is followed where the
hand follows it: it sounds in both grips and moves by two frets at most, or the whole shape moves.
What is left is paired by the least total motion in semitones, without crossing (a crossing never
makes it less); of pairings alike that one which keeps more strings.
"""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.harmony.tones import Tone

HAND = 2  # semitones that a finger is followed on its string
Pair = tuple[Tone, Tone, str]


def paired(here: Sequence[Tone], there: Sequence[Tone]) -> list[Pair]:
    """Return pairs of notes with the voice they make: ``bass``, ``string 3``, ``inner``, ``top``.

    Notes of the grip that has more are left over.
    """
    mine, theirs = sorted(here, key=_pitch), sorted(there, key=_pitch)
    if not mine or not theirs:
        return []
    pairs = [(mine.pop(0), theirs.pop(0), "bass")]
    tops = [(mine.pop(), theirs.pop(), "top")] if mine and theirs else []
    reach = None if _moves_whole(here, there) else HAND
    for tone in tuple(mine):
        for other in tuple(theirs):
            followed = reach is None or abs(other.midi - tone.midi) <= reach
            if other.string == tone.string and followed:
                pairs.append((tone, other, f"string {tone.string}"))
                mine.remove(tone)
                theirs.remove(other)
    return [*pairs, *_least(mine, theirs), *tops]


def _pitch(tone: Tone) -> tuple[int, int]:
    return (tone.midi, -tone.string)


def _moves_whole(here: Sequence[Tone], there: Sequence[Tone]) -> bool:
    """Return whether the same strings sound, all moved by the same."""
    one = {tone.string: tone.midi for tone in here}
    two = {tone.string: tone.midi for tone in there}
    return one.keys() == two.keys() and len({two[s] - one[s] for s in one}) == 1


def _least(mine: Sequence[Tone], theirs: Sequence[Tone]) -> list[Pair]:
    """Return the pairs of least total motion that use every note of the smaller side, in order."""
    if len(mine) > len(theirs):
        return [(one, two, voice) for two, one, voice in _least(theirs, mine)]
    best: dict[tuple[int, int], tuple[tuple[int, int], tuple[Pair, ...]]] = {}
    for used in range(len(theirs) + 1):
        best[0, used] = ((0, 0), ())
    for count, tone in enumerate(mine, 1):
        for used in range(count, len(theirs) + 1):
            other = theirs[used - 1]
            (motion, apart), pairs = best[count - 1, used - 1]
            own = tone.string == other.string
            voice = f"string {tone.string}" if own else "inner"
            taken = (
                (motion + abs(other.midi - tone.midi), apart + (not own)),
                (*pairs, (tone, other, voice)),
            )
            skipped = best.get((count, used - 1), taken)
            best[count, used] = taken if taken[0] <= skipped[0] else skipped
    return list(best[len(mine), len(theirs)][1])
