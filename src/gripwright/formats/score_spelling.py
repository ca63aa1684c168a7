"""Which pitch a score shows: its letter, and whether it is the shape's or the sound's.

Under a capo a chart may name its chords by shape (the names of the frets without the capo) or
by sound. The score follows the chart, so that names, notes and tab agree: by shape it carries a
transposition to what sounds, as printed guitar music does (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.errors import NoteError
from gripwright.harmony.tones import tones_under
from gripwright.lesson.lick_sounds import heard_midi
from gripwright.lesson.model import Chord, Lesson, LickNote
from gripwright.neck.grip import Grip, soundings
from gripwright.neck.tuning import Neck
from gripwright.theory.pitch import Note, Pitch, parse_note, simple_note, spell_midi
from gripwright.theory.scale import Key

C_MAJOR = Key(Note(0))


@dataclass(frozen=True, slots=True)
class Written:
    """The neck that written pitches are read from, and the semitones up to what sounds."""

    neck: Neck
    sounds_higher: int


def written_neck(lesson: Lesson) -> Written:
    """Return the neck of the written pitches: without its capo where the chart names shapes.

    The chart names shapes when its symbols claim more of the notes without the capo than with
    it. A partial capo is always written as it sounds.
    """
    neck = lesson.neck
    if not neck.capo:
        return Written(neck, 0)
    bare = Neck(neck.tuning, (0,) * len(neck))
    chords = {e.chord for part in lesson.parts for bar in part.bars for e in bar.chords}
    named = [c for c in chords if c is not None and c.symbol and c.grip]
    if _claimed(named, bare) > _claimed(named, neck):
        return Written(bare, neck.capo)
    return Written(neck, 0)


def _claimed(chords: list[Chord], neck: Neck) -> int:
    return sum(
        tone.claimed
        for chord in chords
        if chord.symbol and chord.grip
        for tone in tones_under(chord.symbol, chord.grip, neck)
    )


def chord_pitches(chord: Chord, grip: Grip, neck: Neck, key: Key | None) -> dict[int, Pitch]:
    """Return the spelled pitch of each sounding string, by string number."""
    if chord.symbol is not None:
        return {tone.string: tone.pitch for tone in tones_under(chord.symbol, grip, neck)}
    return {
        sound.string: spell_midi(sound.midi, _in_key(sound.midi, key, None))
        for sound in soundings(grip, neck)
    }


def lick_pitch(note: LickNote, chord: Chord | None, neck: Neck, key: Key | None) -> Pitch:
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


def _in_key(midi: int, key: Key | None, chord: Chord | None) -> Note:
    """Return the letter of a pitch by chord, then key, then the side of sharps or flats."""
    symbol = chord.symbol if chord else None
    known = (key or C_MAJOR).notes
    if symbol is not None:
        known = (*symbol.notes, symbol.bass_note, *known)
    for note in known:
        if note.pc == midi % 12 and abs(note.alter) < 2:
            return note
    fifths = (key or C_MAJOR).fifths
    flats = fifths < 0 or (fifths == 0 and symbol is not None and symbol.root.alter < 0)
    return simple_note(midi % 12, flats=flats)
