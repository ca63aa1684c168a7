"""Read a Standard MIDI File as a list of notes."""

from __future__ import annotations

import io
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import mido  # type: ignore[import-untyped]
from mido.midifiles.meta import KeySignatureError  # type: ignore[import-untyped]

from gripwright.beats import Metre, Quarters, default_groups
from gripwright.errors import InputError
from gripwright.formats.content import content
from gripwright.formats.notes import NoteList, TimedNote

MAX_BYTES = 16 * 1024 * 1024
MAX_QUARTERS = 100_000
_DRUMS = 9


def read_midi(source: bytes | Path) -> NoteList:
    """Return the notes of a MIDI file; ``source`` is its content or its path.

    Drums (channel 10) are left out; a part is a track that has notes. Raises InputError for
    what is no MIDI file, or one that counts in seconds instead of quarters.
    """
    file = _open(source if isinstance(source, bytes) else content(source, MAX_BYTES))
    if file.ticks_per_beat <= 0 or file.ticks_per_beat >= 0x8000:
        raise _bad("it counts in frames of a second, not in quarters")
    notes: list[TimedNote] = []
    parts: list[str] = []
    for track in file.tracks:
        found = list(_notes(track, file.ticks_per_beat, len(parts)))
        if found:
            notes.extend(found)
            parts.append(_text(track.name))
    metres = tuple(_metres(file))
    tempos = tuple(
        (at, Fraction(60_000_000, message.tempo))
        for at, message in _all(file)
        if message.type == "set_tempo" and message.tempo
    )
    end = max((note.end for note in notes), default=Fraction(0))
    if end > MAX_QUARTERS:
        raise _bad(f"it lasts more than {MAX_QUARTERS} quarters")
    title = _text(file.tracks[0].name) if file.tracks else ""
    return NoteList(
        tuple(sorted(notes)), tuple(_bars(metres, end)), metres, tempos, tuple(parts), title
    )


def _open(data: bytes) -> mido.MidiFile:
    if len(data) > MAX_BYTES:
        raise _bad(f"it is larger than {MAX_BYTES // 2**20} MB")
    try:
        return mido.MidiFile(file=io.BytesIO(data), clip=True, charset="latin-1")
    except (OSError, EOFError, ValueError, IndexError, KeyError, KeySignatureError) as error:
        raise _bad(str(error) or type(error).__name__) from error


def _text(name: str) -> str:
    """Return a name as UTF-8 where it is, else as Latin-1."""
    try:
        return name.encode("latin-1").decode("utf-8").strip()
    except UnicodeDecodeError:
        return name.strip()


def _notes(track: mido.MidiTrack, ticks: int, part: int) -> Iterator[TimedNote]:
    """Yield the notes of a track; the same key struck twice ends the first."""
    held: dict[tuple[int, int], int] = {}
    now = 0
    for message in track:
        now += message.time
        if message.type not in ("note_on", "note_off") or message.channel == _DRUMS:
            continue
        place = (message.channel, message.note)
        started = held.pop(place, None)
        if started is not None and now > started:
            yield TimedNote(
                Fraction(started, ticks), Fraction(now - started, ticks), message.note,
                part=part, voice=str(message.channel + 1),
            )  # fmt: skip
        if message.type == "note_on" and message.velocity:
            held[place] = now


def _all(file: mido.MidiFile) -> Iterator[tuple[Quarters, mido.MetaMessage]]:
    """Yield the meta messages of all tracks in order of time."""
    found = []
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.is_meta:
                found.append((Fraction(now, file.ticks_per_beat), message))
    yield from sorted(found, key=lambda pair: pair[0])


def _metres(file: mido.MidiFile) -> Iterator[tuple[Quarters, Metre]]:
    for at, message in _all(file):
        if message.type == "time_signature" and message.numerator:
            count, unit = message.numerator, message.denominator
            yield at, Metre(count, unit, default_groups(count, unit))


def _bars(metres: tuple[tuple[Quarters, Metre], ...], end: Quarters) -> Iterator[Quarters]:
    """Yield the starts of the bars up to the end; 4/4 where the file says nothing."""
    at = Fraction(0)
    while at < end:
        yield at
        length = next((m.length for start, m in reversed(metres) if start <= at), Fraction(4))
        change = min((start for start, _ in metres if start > at), default=at + length)
        at = min(at + length, change)


def _bad(reason: str) -> InputError:
    return InputError(
        f"this is no MIDI file that can be read: {reason}", field="file",
        remedy="export it again as a Standard MIDI File (.mid), type 0 or 1",
    )  # fmt: skip
