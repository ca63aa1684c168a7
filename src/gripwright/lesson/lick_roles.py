"""The licks of a lesson against the chords under them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gripwright.harmony.lick_letters import Struck, lick_letters
from gripwright.harmony.licks import Judged, LickTone, implied_mode, judge
from gripwright.lesson.lick_sounds import heard_midi
from gripwright.lesson.model import LickNote, Part
from gripwright.neck.tuning import Neck
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.scale import Key
from gripwright.theory.symbol import ChordSymbol


@dataclass(frozen=True, slots=True)
class LickRole:
    """A note of a lick at its place, 0-based bar, and what it is against its chord."""

    bar: int
    note: LickNote
    chord: ChordSymbol
    judged: Judged


@dataclass(frozen=True, slots=True)
class PartLicks:
    """The lick notes of a part, and the mode that they imply on the key's tonic, if one."""

    part: str
    notes: tuple[LickRole, ...]
    mode: str | None


def lick_roles(part: Part, key: Key, neck: Neck) -> PartLicks:
    """Return what each struck note of a part is; notes over no named chord are left out."""
    letters = letters_of_licks(part, key, neck)
    tones: list[LickTone] = []
    places: list[tuple[int, LickNote]] = []
    for bar, note, chord in _struck(part):
        if chord is None or note.tied or "dead" in note.techniques:
            continue
        midi, letter = heard_midi(note, neck), letters[bar, note]
        tones.append(LickTone(midi, float(note.length), chord, letter))
        places.append((bar, note))
    judged = judge(tones, key)
    return PartLicks(
        part.name,
        tuple(
            LickRole(bar, note, tone.chord, one)
            for (bar, note), tone, one in zip(places, tones, judged, strict=True)
        ),
        implied_mode([tone.midi for tone in tones], key.tonic),
    )


def letters_of_licks(part: Part, key: Key, neck: Neck) -> dict[tuple[int, LickNote], Note]:
    """Return the letter of every note of a part's licks by its 0-based bar and the note.

    A spelling that the teacher fixed is kept, unless a harmonic sounds another note than its fret.
    """
    struck = list(_struck(part))
    sounds = []
    for _, note, chord in struck:
        midi = heard_midi(note, neck)
        fixed = parse_note(note.spelling) if note.spelling else None
        sounds.append(Struck(midi, chord, fixed if fixed and fixed.pc == midi % 12 else None))
    letters = lick_letters(sounds, key)
    return {(bar, note): one for (bar, note, _), one in zip(struck, letters, strict=True)}


def _struck(part: Part) -> Iterator[tuple[int, LickNote, ChordSymbol | None]]:
    """Yield the notes of a part in order, each with its bar and the named chord that holds."""
    under: ChordSymbol | None = None
    for index, bar in enumerate(part.bars):
        changes = [(event.offset, event.chord.symbol) for event in bar.chords if event.chord]
        for note in sorted(bar.notes, key=lambda note: note.offset):
            reached = [symbol for offset, symbol in changes if offset <= note.offset]
            yield index, note, reached[-1] if reached else under
        under = changes[-1][1] if changes else under
