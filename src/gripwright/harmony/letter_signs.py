"""What is heard of each note of a chord that speaks for its letter: how it moves, and its role.

Voices are not known, so a note is followed in its own register: it *rises* or *falls* when it
stops and a note a half step above or below is struck; if it does neither, it *rose* or *fell*
into its place from the chord before. Where a neighbour is known by its symbol only, any octave
of its notes will do. Its *role* is its place in the first triad that holds it: a major triad
(with a flat seventh, if there is one), a minor one, a diminished seventh, a diminished triad.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from gripwright.harmony.letter_weights import MOVES, ROLES, Sign
from gripwright.theory.pitch import Note
from gripwright.theory.symbol import ChordSymbol

FURTHEST = 6  # chords to look ahead for the end of a note
_MOVE = {name: number for number, name in enumerate(MOVES)}
_ROLE = {name: number for number, name in enumerate(ROLES)}
# Chords in the order in which they claim their notes: what must sound above a root, and the
# role of each note. Common practice, no source.
_CLAIMS: tuple[tuple[tuple[tuple[int, ...], ...], dict[int, str]], ...] = (
    (((4, 7), (4, 10)),
     {0: "major root", 4: "major third", 7: "major fifth", 10: "flat seventh"}),
    (((3, 7),), {0: "minor root", 3: "minor third", 7: "minor fifth"}),
    (((3, 6, 9),), {0: "diminished seventh"}),
    (((3, 6),), {0: "diminished root", 3: "diminished third", 6: "diminished fifth"}),
)  # fmt: skip


class Sounds(NamedTuple):
    """A chord as it sounds: MIDI numbers, and their letters where those are known.

    ``known`` has None for a note whose letter is to be found. ``placed`` is False where only the
    pitch classes are known.
    """

    midi: tuple[int, ...]
    known: tuple[Note | None, ...] | None = None
    placed: bool = True

    def letter(self, place: int) -> Note | None:
        """Return the letter of a note where it is known."""
        return self.known[place] if self.known is not None else None

    def has(self, midi: int) -> bool:
        """Return whether a pitch sounds, in any octave if the chord is not placed."""
        return midi in self.midi if self.placed else any((m - midi) % 12 == 0 for m in self.midi)


def sounds_of(symbol: ChordSymbol) -> Sounds:
    """Return what a symbol says of its chord: pitch classes with their letters."""
    notes = dict.fromkeys((*symbol.notes, symbol.bass_note))
    return Sounds(tuple(note.pc for note in notes), tuple(notes), placed=False)


def signs_of(chords: Sequence[Sounds], index: int) -> tuple[Sign, ...]:
    """Return the signs of the notes of one chord among its neighbours.

    >>> signs = signs_of([Sounds((60, 63, 66)), Sounds((59, 62, 67))], 0)
    >>> [(MOVES[sign.move], ROLES[sign.role]) for sign in signs]
    [('falls', 'diminished root'), ('falls', 'diminished third'), ('rises', 'diminished fifth')]
    """
    chord = chords[index]
    roles = roles_of(frozenset(midi % 12 for midi in chord.midi))
    return tuple(
        Sign(midi % 12, _MOVE[_move(chords, index, midi)], _ROLE[roles.get(midi % 12, "none")])
        for midi in chord.midi
    )


def _move(chords: Sequence[Sounds], index: int, midi: int) -> str:
    """Return how a note leaves; if not by a half step, how it came."""
    up, down = _steps(chords, index, midi, 1)
    if up != down:
        return "rises" if up else "falls"
    above, below = _steps(chords, index, midi, -1)
    if above != below:
        return "fell" if above else "rose"
    return "none"


def _steps(chords: Sequence[Sounds], index: int, midi: int, way: int) -> tuple[bool, bool]:
    """Return whether, where a note ends going one way, one a half step above and below begins."""
    at = index + way
    while 0 <= at < len(chords) and abs(at - index) <= FURTHEST and chords[at].has(midi):
        at += way
    if not 0 <= at < len(chords) or chords[at].has(midi):
        return False, False
    there, here = chords[at], chords[at - way]
    return tuple(  # type: ignore[return-value]
        there.has(midi + step) and not here.has(midi + step) for step in (1, -1)
    )


@lru_cache(maxsize=4096)
def roles_of(pcs: frozenset[int]) -> dict[int, str]:
    """Return the role of each pitch class in the first chord that claims it.

    >>> sorted(roles_of(frozenset({0, 4, 7, 9})).items())
    [(0, 'major root'), (4, 'major third'), (7, 'major fifth'), (9, 'minor root')]
    """
    roles: dict[int, str] = {}
    for wanted, named in _CLAIMS:
        for needs in wanted:
            for root in sorted(pcs):
                if all((root + above) % 12 in pcs for above in needs):
                    for above, role in named.items():
                        if (root + above) % 12 in pcs:
                            roles.setdefault((root + above) % 12, role)
    return roles
