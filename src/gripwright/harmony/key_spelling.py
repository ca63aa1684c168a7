"""How a tonic is spelled: as its own chord is written, else as the chords around it are."""

from __future__ import annotations

from collections.abc import Sequence

from gripwright.harmony.key_events import Event
from gripwright.theory.pitch import Note, simple_note
from gripwright.theory.scale import Key

MOST_SIGNS = 7


def spell_tonic(pc: int, mode: str, events: Sequence[Event]) -> Note:
    """Return the spelling of a tonic that has a signature and follows the chords as written."""
    names = [
        note
        for flats in (True, False)
        if abs(Key(note := simple_note(pc, flats), mode).fifths) <= MOST_SIGNS
    ]
    written = [event.facts.symbol.root for event in events]
    for note in written:
        if note.pc == pc and abs(Key(note, mode).fifths) <= MOST_SIGNS:
            return note
    middle = sum(note.fifths for note in written) / len(written)
    return min(names, key=lambda note: (abs(note.fifths - middle), abs(note.fifths)))
