"""What practice adds by hand to the fitted evidence for a key. Common practice, no source.

A chain of two-five-ones is followed from key to key; where a song has two stretches that each
cadence in a key of their own and come back to its tonic, each speaks for that tonic; a bass that
never moves is the tonic of a vamp; a tonic that is never heard pays; of two chords the
first has the say; a key rather opens with a lap or a section than amid one.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from operator import add

from gripwright.harmony.facts import Facts
from gripwright.harmony.key_events import Mark, form_of

# What each chord of a two-five-one in sevenths gives its tonic, where they make up at least so
# much of the music.
CLOSE, CLOSES_IN_JAZZ = 15.0, 0.5
RETURN = 5.0  # what each chord of such music gives the tonic that it opens and closes on
# What each chord of a confirmed stretch gives its tonic, by how much of the music repeats.
CONFIRMED = (10.0, 10.0, 3.0, 0.0)
FEWEST_CONFIRMED = 4
PEDAL, UNHEARD, OPENS = 15.0, 20.0, 15.0
FRAMED = 60.0  # what all changes together give the chord they open on and close on by its dominant
_AT_REST, _TWOS = ("maj", "maj7", "min", "min7"), ("min7", "hdim")
# The notes of a key, and those it must show: a minor key with its leading note.
_NOTES = {
    "major": (frozenset({0, 2, 4, 5, 7, 9, 11}), frozenset({0, 2, 4, 5, 7, 9, 11})),
    "minor": (frozenset({0, 2, 3, 5, 7, 8, 10, 11}), frozenset({0, 2, 3, 5, 7, 8, 11})),
}
AMID = 5.0  # what a key costs more that opens in the midst of a lap or section
Rows = Sequence[list[float]]


def add_closes(rows: Rows, chords: Sequence[Facts]) -> None:
    """Let two-five-ones speak for their tonics where they make up half of the music."""
    found = [
        (start, end)
        for end in range(2, len(chords))
        if (start := start_of_close(chords, end)) is not None
    ]
    if sum(end + 1 - start for start, end in found) < len(chords) * CLOSES_IN_JAZZ:
        return
    for start, end in found:
        _speak(rows[start : end + 1], chords[end].root, CLOSE)
    first, last = chords[0], chords[-1]
    if first.root == last.root and first.kind in _AT_REST and last.kind in _AT_REST:
        _speak(rows, first.root, RETURN)


def start_of_close(chords: Sequence[Facts], end: int) -> int | None:
    """Return where a two-five-one in sevenths begins that closes at ``end``, None where none does.

    The five may be suspended first, or stand a tritone away; sevenths that fall to the two by
    fifths or half steps belong to it.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.symbol import parse_symbol
    >>> changes = [facts_of(parse_symbol(text)) for text in "C Dm7 G7sus4 G7 Cmaj7".split()]
    >>> start_of_close(changes, 4), start_of_close(changes, 3)
    (1, None)
    """
    one, five = chords[end], chords[end - 1]
    if one.kind not in _AT_REST or not five.dominant or (five.root - one.root) % 12 not in (1, 7):
        return None
    at = end - 1
    while at > 0 and chords[at].root == five.root and 10 in chords[at].above:
        at -= 1
    if chords[at].kind not in _TWOS or (chords[at].root - one.root) % 12 != 2:
        return None
    while at > 0 and chords[at - 1].kind in (*_TWOS, "7"):
        if (chords[at - 1].root - chords[at].root) % 12 not in (1, 7):
            break
        at -= 1
    return at


def add_practice(rows: Rows, chords: Sequence[Facts], habit: int) -> None:
    """Add what holds of songs: confirmed keys, a pedal, and what is never heard."""
    roots = {chord.root for chord in chords}
    if len(roots) > 1 and len({chord.bass for chord in chords}) == 1:
        _speak(rows, chords[0].bass, PEDAL / len(rows))
    if len(roots) == 2 and not chords[0].dominant:
        _speak(rows, chords[0].root, OPENS / len(rows))
    if len(chords) > 2 and _same(chords[0], chords[-1]) and _is_five(chords[-2], chords[-1].root):
        _speak(rows, chords[0].root, FRAMED / len(rows))
    unheard = -UNHEARD / len(rows)
    pays = [0.0 if tonic in roots else unheard for tonic in range(12)]
    for row in rows:
        row[:] = map(add, row, pays)
    if not CONFIRMED[habit]:
        return
    stretches = confirmed(chords)
    if len({tonic for _, _, tonic in stretches}) > 1:
        for start, end, tonic in stretches:
            _speak(rows[start:end], tonic, CONFIRMED[habit])


def confirmed(chords: Sequence[Facts]) -> list[tuple[int, int, int]]:
    """Return (start, end, tonic) of stretches that show all of a key, cadence, and return.

    Each starts at the tonic or at a dominant that falls to it, and ends with the tonic.

    >>> from gripwright.harmony.facts import facts_of
    >>> from gripwright.theory.symbol import parse_symbol
    >>> confirmed([facts_of(parse_symbol(text)) for text in "E A B E F Bb C F".split()])
    [(0, 4, 4), (4, 8, 5)]
    """
    found = []
    reached = {
        (chord.root, chord.third)
        for before, chord in itertools.pairwise(chords)
        if chord.third in _NOTES and _is_five(before, chord.root)
    }
    for tonic, third in sorted(reached):
        notes, shown = ({(tonic + pc) % 12 for pc in pcs} for pcs in _NOTES[third])
        inside = [chord.pcs <= notes for chord in chords]
        for fits, run in itertools.groupby(range(len(chords)), key=inside.__getitem__):
            places = list(run)
            if not fits or not (edges := _edges(chords, places, tonic, third)):
                continue
            heard = frozenset().union(*(chord.pcs for chord in chords[slice(*edges)]))
            if shown <= heard and edges[1] - edges[0] >= FEWEST_CONFIRMED:
                found.append((*edges, tonic))
    return sorted(found)


def _edges(
    chords: Sequence[Facts], places: Sequence[int], tonic: int, third: str
) -> tuple[int, int] | None:
    """Return from where to where a run of chords of one key is at home there."""
    homes = [n for n in places if (chords[n].root, chords[n].third) == (tonic, third)]
    closes = [n for n in homes if n - 1 in places and _is_five(chords[n - 1], tonic)]
    if len(homes) < 2 or not closes:
        return None
    start = min(homes[0], closes[0] - 1)
    if homes[0] - 1 in places and _is_five(chords[homes[0] - 1], tonic):
        start = homes[0] - 1
    return start, homes[-1] + 1


def tolls_of(marks: Sequence[Mark]) -> list[float]:
    """Return what it costs to enter a key at each chord: nothing where a lap or section opens."""
    form = form_of(tuple(marks))
    return [0.0 if lap or at in form.opens else -AMID for at, lap in enumerate(form.laps)]


def _same(one: Facts, other: Facts) -> bool:
    return (one.root, one.third) == (other.root, other.third)


def _is_five(chord: Facts, tonic: int) -> bool:
    return chord.root == (tonic + 7) % 12 and chord.third == "major"


def _speak(rows: Rows, tonic: int, weight: float) -> None:
    for row in rows:
        for state in range(tonic, len(row), 12):
            row[state] += weight
