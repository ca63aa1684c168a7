"""Which letter a note of a chord gets in the score: by its symbol, else in the key.

Pitches are as they sound, capo included, since a lesson's symbols and keys name what sounds.
"""

from __future__ import annotations

from gripwright.harmony.letters import letters_among
from gripwright.harmony.tones import tones_under
from gripwright.lesson.model import Chord
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.tuning import Neck
from gripwright.theory.pitch import Pitch, spell_midi
from gripwright.theory.scale import Key


def chord_pitches(chord: Chord, grip: Grip, neck: Neck, key: Key) -> dict[int, Pitch]:
    """Return the spelled pitch of each sounding string, by string number."""
    if chord.symbol is not None:
        return {tone.string: tone.pitch for tone in tones_under(chord.symbol, grip, neck)}
    sounds = soundings(grip, neck)
    letters = letters_among(tuple(sorted({sound.midi % 12 for sound in sounds})), key, None, None)
    return {sound.string: spell_midi(sound.midi, letters.best(sound.midi)) for sound in sounds}
