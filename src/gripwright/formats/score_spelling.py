"""Which letter a note of the score gets: by its chord, the teacher or the key.

Pitches are as they sound, capo included, since a lesson's symbols and keys name what sounds.
"""

from __future__ import annotations

from gripwright.errors import NoteError
from gripwright.harmony.letters import letters_among
from gripwright.harmony.tones import tones_under
from gripwright.lesson.lick_sounds import heard_midi
from gripwright.lesson.model import Chord, LickNote
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.tuning import Neck
from gripwright.theory.pitch import Note, Pitch, parse_note, simple_note, spell_midi
from gripwright.theory.scale import Key


def chord_pitches(chord: Chord, grip: Grip, neck: Neck, key: Key) -> dict[int, Pitch]:
    """Return the spelled pitch of each sounding string, by string number."""
    if chord.symbol is not None:
        return {tone.string: tone.pitch for tone in tones_under(chord.symbol, grip, neck)}
    sounds = soundings(grip, neck)
    letters = letters_among(tuple(sorted({sound.midi % 12 for sound in sounds})), key, None, None)
    return {sound.string: spell_midi(sound.midi, letters.best(sound.midi)) for sound in sounds}


def lick_pitch(note: LickNote, chord: Chord | None, neck: Neck, key: Key) -> Pitch:
    """Return the spelled pitch of a lick note.

    The teacher's spelling comes first, then the chord that holds, then the key.
    """
    midi = heard_midi(note, neck)
    if note.spelling is not None:
        try:
            return spell_midi(midi, parse_note(note.spelling))
        except NoteError:  # a harmonic sounds another note than the fret that was spelled
            pass
    return spell_midi(midi, _in_key(midi, key, chord))


def _in_key(midi: int, key: Key, chord: Chord | None) -> Note:
    """Return the letter of a pitch by the chord under it, the key, or both as they are heard."""
    symbol = chord.symbol if chord else None
    known = key.notes
    if symbol is not None:
        known = (*symbol.notes, symbol.bass_note, *known)
    for note in known:
        if note.pc == midi % 12 and abs(note.alter) < 2:
            return note
    under = symbol.pcs if symbol is not None else frozenset[int]()
    best = letters_among(tuple(sorted(under | {midi % 12})), key, None, None).best(midi)
    return best if abs(best.alter) < 2 else simple_note(midi, flats=best.alter < 0)
