"""The licks of a lesson against the chords under them."""

from __future__ import annotations

from dataclasses import dataclass

from gripwright.harmony.licks import Judged, LickTone, implied_mode, judge
from gripwright.lesson.lick_sounds import heard_midi
from gripwright.lesson.model import LickNote, Part
from gripwright.neck.tuning import Neck
from gripwright.theory.pitch import parse_note
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
    tones: list[LickTone] = []
    places: list[tuple[int, LickNote]] = []
    under: ChordSymbol | None = None
    for index, bar in enumerate(part.bars):
        changes = [(event.offset, event.chord) for event in bar.chords if event.chord]
        for note in sorted(bar.notes, key=lambda note: note.offset):
            reached = [chord.symbol for offset, chord in changes if offset <= note.offset]
            chord = reached[-1] if reached else under
            if chord is None or note.tied or "dead" in note.techniques:
                continue
            spelled = parse_note(note.spelling) if note.spelling else None
            tones.append(LickTone(heard_midi(note, neck), float(note.length), chord, spelled))
            places.append((index, note))
        under = changes[-1][1].symbol if changes else under
    judged = judge(tones, key)
    return PartLicks(
        part.name,
        tuple(
            LickRole(bar, note, tone.chord, one)
            for (bar, note), tone, one in zip(places, tones, judged, strict=True)
        ),
        implied_mode([tone.midi for tone in tones], key.tonic),
    )
