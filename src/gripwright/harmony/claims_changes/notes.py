"""What the verifiers and the words of claims about changes look at: notes, read afresh."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from gripwright.harmony.claims import Claim
from gripwright.theory.interval import Degree, note_at
from gripwright.theory.pitch import Note
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol

STEP_NAMES = {
    1: "half step", 2: "whole step", 3: "minor third", 4: "major third", 5: "fourth",
    6: "tritone", 7: "fifth", 8: "minor sixth", 9: "major sixth", 10: "minor seventh",
    11: "major seventh", 12: "octave",
}  # fmt: skip
MAJOR_SIDE = ("major", "mixolydian", "lydian")


@lru_cache(maxsize=256)
def scale(key: Key) -> frozenset[int]:
    """Return the pitch classes of a key."""
    return frozenset(note.pc for note in key.notes)


@lru_cache(maxsize=8192)
def sounds(chord: ChordSymbol) -> frozenset[int]:
    """Return the pitch classes of a chord with its bass."""
    return frozenset({*(note.pc for note in chord.notes), chord.bass_note.pc})


def strange(chord: ChordSymbol, key: Key) -> frozenset[int]:
    """Return the pitch classes of a chord that are not in a key."""
    return sounds(chord) - scale(key)


def has(chord: ChordSymbol, *sizes: int) -> bool:
    """Return whether a chord sounds notes these many semitones above its root."""
    return all((chord.root.pc + size) % 12 in sounds(chord) for size in sizes)


def above(chord: ChordSymbol, key: Key) -> int:
    """Return the semitones of a chord's root above the tonic."""
    return (chord.root.pc - key.tonic.pc) % 12


def bass_above(chord: ChordSymbol, key: Key) -> int:
    """Return the semitones of a chord's bass above the tonic."""
    return (chord.bass_note.pc - key.tonic.pc) % 12


def falls(one: ChordSymbol, two: ChordSymbol) -> int:
    """Return the semitones by which the root falls, 0 to 11."""
    return (one.root.pc - two.root.pc) % 12


def bass_step(one: ChordSymbol, two: ChordSymbol) -> int:
    """Return the semitones from bass to bass by the shorter way, up positive."""
    return (two.bass_note.pc - one.bass_note.pc + 5) % 12 - 5


def is_dominant(chord: ChordSymbol) -> bool:
    """Return whether a chord has a major third and a minor seventh."""
    return has(chord, 4, 10) and not has(chord, 11)


def is_major(chord: ChordSymbol) -> bool:
    """Return whether a chord has a major third and no minor one (a sharp nine aside)."""
    return has(chord, 4)


def is_minor(chord: ChordSymbol) -> bool:
    """Return whether a chord has a minor third and no major one."""
    return has(chord, 3) and not has(chord, 4)


def listed(words: Sequence[str]) -> str:
    """Return words as a list in prose, ``A, B and C``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def briefly(words: Sequence[str], most: int = 8) -> str:
    """Return a list in prose; of a longer one the first and the last.

    >>> briefly(["C", "Dm", "Em", "F", "G"], most=4)
    'C, Dm, Em ... G'
    """
    if len(words) <= most:
        return listed(words)
    return f"{', '.join(words[: most - 1])} ... {words[-1]}"


@lru_cache(maxsize=8192)
def name(chord: ChordSymbol) -> str:
    """Return a chord's symbol in print."""
    return chord.pretty


def names(claim: Claim) -> list[str]:
    """Return the symbols of a claim's subject in print."""
    return [name(chord) for chord in claim.subject]


def note_in(pc: int, *chords: ChordSymbol) -> Note:
    """Return a pitch class as the first of the chords that has it spells it."""
    spelled = [note for chord in chords for note in (*chord.notes, chord.bass_note)]
    return next(note for note in spelled if note.pc == pc)


def strange_names(chord: ChordSymbol, key: Key) -> list[str]:
    """Return the chord's notes that are not in the key, in print and in order."""
    notes = [note for note in (*chord.notes, chord.bass_note) if note.pc not in scale(key)]
    return list(dict.fromkeys(note.pretty for note in notes))


def basses(claim: Claim) -> str:
    """Return the bass notes of a claim's subject as a row in print."""
    return ", ".join(chord.bass_note.pretty for chord in claim.subject)


def once(claim: Claim) -> str:
    """Return the chords of a claim's subject as a list in prose, each named once."""
    return briefly(list(dict.fromkeys(names(claim))))


def in_key(key: Key, number: int, alter: int = 0) -> Note:
    """Return the note on a degree counted from the major scale of the tonic."""
    return note_at(key.tonic, Degree(number, alter))


def verb(count: int, one: str, more: str) -> str:
    """Return the form of a verb or noun for a number of things."""
    return one if count == 1 else more
