"""What practice adds by hand to the fitted evidence for a key. Common practice, no source.

A chain of two-five-ones is followed from key to key; where a song has two stretches that each
cadence in a key of their own and come back to its tonic, each speaks for that tonic; a bass that
never moves is the tonic of a vamp; a tonic that is never heard pays; of two chords the
first has the say.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from gripwright.harmony.facts import Facts

# What each chord of a two-five-one in sevenths gives its tonic, where they make up at least so
# much of the music.
CLOSE, CLOSES_IN_JAZZ = 1.6, 0.5
CONFIRMED = 1.6  # what each chord of a confirmed stretch gives its tonic
FEWEST_CONFIRMED = 4
PEDAL, UNHEARD, OPENS = 3.0, 0.4, 0.6
_AT_REST = ("maj", "maj7", "min", "min7")
_MAJOR = frozenset({0, 2, 4, 5, 7, 9, 11})
Rows = Sequence[list[float]]


def add_closes(rows: Rows, chords: Sequence[Facts]) -> None:
    """Let two-five-ones speak for their tonics where they make up half of the music."""
    found = {
        index: tonic
        for index in range(2, len(chords))
        if (tonic := closed_tonic(chords[index - 2 : index + 1])) is not None
    }
    if 3 * len(found) < len(chords) * CLOSES_IN_JAZZ:
        return
    for index, tonic in found.items():
        _speak(rows[index - 2 : index + 1], tonic, CLOSE)


def closed_tonic(three: Sequence[Facts]) -> int | None:
    """Return the tonic that a two-five-one in sevenths closes on, None where it is none."""
    two, five, one = three
    falls = (two.root - five.root) % 12 == (five.root - one.root) % 12 == 7
    kinds = two.kind in ("min7", "hdim") and five.kind == "7" and one.kind in _AT_REST
    return one.root if falls and kinds else None


def add_practice(rows: Rows, chords: Sequence[Facts], habit: int) -> None:
    """Add what holds of songs: confirmed keys, a pedal, and what is never heard."""
    roots = {chord.root for chord in chords}
    if len(roots) > 1 and len({chord.bass for chord in chords}) == 1:
        _speak(rows[:1], chords[0].bass, PEDAL)
    if len(roots) == 2 and not chords[0].dominant:
        _speak(rows[:1], chords[0].root, OPENS)
    for tonic in set(range(12)) - roots:
        _speak(rows, tonic, -UNHEARD / len(rows))
    if habit > 1:
        return
    stretches = confirmed(chords)
    if len({tonic for _, _, tonic in stretches}) > 1:
        for start, end, tonic in stretches:
            _speak(rows[start:end], tonic, CONFIRMED)


def confirmed(chords: Sequence[Facts]) -> list[tuple[int, int, int]]:
    """Return (start, end, tonic) of stretches that show all of a major key, cadence, and return.

    Each starts at the tonic or at a dominant that falls to it, and ends with the tonic.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.symbol import parse_symbol
    >>> confirmed([facts_of(parse_symbol(text)) for text in "E A B E F Bb C F".split()])
    [(0, 4, 4), (4, 8, 5)]
    """
    found = []
    for tonic in sorted({chord.root for chord in chords if chord.third == "major"}):
        scale = {(tonic + pc) % 12 for pc in _MAJOR}
        inside = [chord.pcs <= scale for chord in chords]
        for fits, run in itertools.groupby(range(len(chords)), key=inside.__getitem__):
            places = list(run)
            if fits and (edges := _confirms(chords, places, tonic)):
                found.append((*edges, tonic))
    return sorted(found)


def _confirms(chords: Sequence[Facts], places: Sequence[int], tonic: int) -> tuple[int, int] | None:
    """Return the edges of a confirmed stretch in a run of chords of one key."""
    homes = [n for n in places if chords[n].root == tonic]
    closes = [n for n in homes if n - 1 in places and _is_five(chords[n - 1], tonic)]
    if len(homes) < 2 or not closes:
        return None
    start, end = min(homes[0], closes[0] - 1), homes[-1] + 1
    if homes[0] - 1 in places and _is_five(chords[homes[0] - 1], tonic):
        start = homes[0] - 1
    heard = frozenset().union(*(chords[n].pcs for n in range(start, end)))
    return (start, end) if end - start >= FEWEST_CONFIRMED and len(heard) == 7 else None


def _is_five(chord: Facts, tonic: int) -> bool:
    return chord.root == (tonic + 7) % 12 and chord.third == "major"


def _speak(rows: Rows, tonic: int, weight: float) -> None:
    for row in rows:
        for state in range(tonic, len(row), 12):
            row[state] += weight
