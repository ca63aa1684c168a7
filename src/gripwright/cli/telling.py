"""Say what the commands about grips share: efforts in a word, notes by name."""

from __future__ import annotations

from gripwright.theory.pitch import Pitch, simple_note, spell_midi

WORDS = ((0.35, "easy"), (0.60, "moderate"), (0.78, "hard"), (1.01, "very hard"))


def effort_word(effort: float) -> str:
    """Say an effort in a word.

    >>> effort_word(0.3), effort_word(0.9)
    ('easy', 'very hard')
    """
    return next(word for most, word in WORDS if effort < most)


def pitch_of(midi: int) -> Pitch:
    """Return the usual spelling of a MIDI number.

    >>> pitch_of(58).name, pitch_of(58).pretty
    ('Bb3', 'B♭3')
    """
    return spell_midi(midi, simple_note(midi % 12))
