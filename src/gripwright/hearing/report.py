"""Say what hearing found: the answers of the commands, as data and as words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from gripwright.hearing.check import Doubted
from gripwright.hearing.follow import Followed
from gripwright.hearing.hear import HeardChord, HeardTake
from gripwright.hearing.record import SoundsHere
from gripwright.lesson.timing_file import TimedEvent
from gripwright.theory.pitch import simple_note, spell_midi


def clock(seconds: float) -> str:
    """Return a time for people.

    >>> clock(75.25)
    '1:15.25'
    """
    minutes, rest = divmod(round(seconds, 2), 60)
    return f"{int(minutes)}:{rest:05.2f}"


def pitch_name(midi: int) -> str:
    """Return a pitch in its usual spelling, ``Bb3``."""
    return spell_midi(midi, simple_note(midi % 12)).name


def sync_answer(followed: Followed) -> dict[str, Any]:
    """Return the answer object of sync."""
    synced = followed.synced
    return {
        "take": followed.timing.take,
        "take_sha256": followed.timing.take_sha256,
        "tempo_bpm": round(synced.tempo_bpm, 2),
        "tuning_cents": round(synced.tuning_cents, 1),
        "fit": round(synced.fit, 3),
        "events": [_event(event) for event in followed.timing.events],
        "order": [{"part": part, "start_s": round(at, 3)} for part, at in synced.order],
        "skipped": list(synced.skipped),
        "repeated": list(synced.repeated),
        "disagreements": [_doubt(followed, doubt) for doubt in followed.doubts],
        "pieces": [
            {
                "cut_start_s": round(piece.cut_start_s, 4),
                "cut_end_s": round(piece.cut_end_s, 4),
                "take_start_s": round(piece.take_start_s, 4),
                "agreement": round(piece.agreement, 3),
            }
            for piece in followed.pieces
        ],
        "warnings": list(followed.warnings),
    }


def _event(event: TimedEvent) -> dict[str, Any]:
    return {
        "index": event.index, "part": event.part, "visit": event.visit, "pass": event.pass_,
        "bar": event.bar, "beat": event.beat, "chord": event.chord, "start_s": event.start_s,
        "full_s": event.full_s, "end_s": event.end_s, "confidence": event.confidence,
        "by": event.by,
    }  # fmt: skip


def _doubt(followed: Followed, doubt: Doubted) -> dict[str, Any]:
    event = followed.timing.events[doubt.place]
    return {
        "event": doubt.place, "part": event.part, "bar": event.bar, "beat": event.beat,
        "chord": event.chord, "start_s": event.start_s, "kind": doubt.kind,
        "midi": doubt.midi, "note": pitch_name(doubt.midi),
        "likely": "very likely" if doubt.probability >= 0.97 else "likely",
        "text": doubt_text(event, doubt),
    }  # fmt: skip


def doubt_text(event: TimedEvent, doubt: Doubted) -> str:
    """Return a doubt as a sentence, in words and without a percentage."""
    return (
        f"{event.part}, bar {event.bar}, beat {event.beat:g} ({event.chord}, at "
        f"{clock(event.start_s)}): {note_text(doubt)}"
    )


def note_text(doubt: Doubted) -> str:
    """Return what is said of the note in doubt.

    >>> note_text(Doubted(0, "missing", 58, 0.98))
    'Bb3 very likely does not sound'
    """
    sure = "very likely" if doubt.probability >= 0.97 else "likely"
    said = "does not sound" if doubt.kind == "missing" else "sounds and is not in the chart"
    return f"{pitch_name(doubt.midi)} {sure} {said}"


def sync_text(followed: Followed) -> str:
    """Return the answer of sync for people."""
    synced = followed.synced
    lines = [f"warning: {text}" for text in followed.warnings]
    lines.append(
        f"{followed.timing.take}: {synced.tempo_bpm:.1f} beats a minute, "
        f"tuned {synced.tuning_cents:+.0f} cents from A 440"
    )
    lines.append("parts: " + ", ".join(f"{part} {clock(at)}" for part, at in synced.order))
    if synced.skipped:
        lines.append("left out: " + ", ".join(synced.skipped))
    if synced.repeated:
        lines.append("played again: " + ", ".join(synced.repeated))
    lines += [_line(event) for event in followed.timing.events]
    lines += [doubt_text(followed.timing.events[doubt.place], doubt) for doubt in followed.doubts]
    lines += [
        f"cut {clock(piece.cut_start_s)} to {clock(piece.cut_end_s)}: the take from "
        f"{clock(piece.take_start_s)}"
        for piece in followed.pieces
    ]
    return "\n".join(lines)


def _line(event: TimedEvent) -> str:
    mark = "by hand" if event.by == "hand" else f"{100 * event.confidence:3.0f} %"
    place = f"{event.part} {event.bar}.{event.beat:g}"
    return f"{clock(event.start_s):>9}  {place:<16} {event.chord:<14} {mark}"


def hear_answer(take: HeardTake) -> dict[str, Any]:
    """Return the answer object of hear."""
    return {
        "tuning_cents": round(take.tuning_cents, 1),
        "strings_cents": [None if c is None else round(c, 1) for c in take.strings_cents],
        "tempo_bpm": round(take.beats.tempo_bpm, 2) if take.beats.beats_s else None,
        "tempo_also": [round(bpm, 2) for bpm in take.beats.also_bpm],
        "beats_s": [round(at, 4) for at in take.beats.beats_s],
        "downbeats_s": [round(at, 4) for at in take.beats.downbeats_s],
        "beats_a_bar": take.beats.beats_a_bar,
        "beat_division": take.beats.division,
        "key": take.key.name if take.key else None,
        "chords": [_chord(chord) for chord in take.chords],
        "warnings": list(take.warnings),
    }


def _chord(chord: HeardChord) -> dict[str, Any]:
    reading = chord.reading
    return {
        "start_s": round(chord.start_s, 4),
        "end_s": round(chord.end_s, 4),
        "midi": list(chord.midi),
        "grip": chord.grip.text if chord.grip else None,
        "grips_also": [grip.text for grip in chord.grips_also],
        "harte": reading.harte if reading else None,
        "symbol": reading.symbol.text if reading and reading.symbol else None,
        "confidence": round(chord.confidence, 3),
    }


def hear_text(take: HeardTake) -> str:
    """Return the answer of hear for people."""
    lines = [f"warning: {text}" for text in take.warnings]
    strings = ", ".join("?" if c is None else f"{c:+.0f}" for c in take.strings_cents)
    lines.append(f"tuned {take.tuning_cents:+.0f} cents from A 440; by string: {strings}")
    if take.beats.beats_s:
        also = " or ".join(f"{bpm:.0f}" for bpm in take.beats.also_bpm)
        lines.append(
            f"{take.beats.tempo_bpm:.1f} beats a minute, {take.beats.beats_a_bar} a bar"
            + (f" (or {also})" if also else "")
        )
    if take.key:
        lines.append(f"key: {take.key.pretty}")
    for chord in take.chords:
        grip = chord.grip.text if chord.grip else " ".join(map(pitch_name, chord.midi))
        symbol = chord.reading.symbol if chord.reading else None
        name = symbol.pretty if symbol else ""
        also = ", ".join(grip.text for grip in chord.grips_also[:2])
        lines.append(
            f"{clock(chord.start_s):>9}  {name:<12} {grip:<16} {100 * chord.confidence:3.0f} %"
            + (f"  or {also}" if also else "")
        )
    return "\n".join(lines)


def here_answer(here: SoundsHere, out: Path | None = None) -> dict[str, Any]:
    """Return the answer object of record: what sounds in the span."""
    return {
        "midi": list(here.midi),
        "notes": [pitch_name(midi) for midi in here.midi],
        "bass": pitch_name(here.midi[0]) if here.midi else None,
        "surest": [pitch_name(midi) for midi in here.sure],
        "grips": [grip.text for grip in here.grips],
        "readings": [
            {"symbol": r.symbol.text if r.symbol else None, "harte": r.harte} for r in here.readings
        ],
        "tuning_cents": round(here.tuning_cents, 1),
        "out": str(out) if out else None,
    }


def here_text(here: SoundsHere, out: Path | None = None) -> str:
    """Return what sounds in a span for people."""
    if not here.midi:
        lines = ["no pitch stands out here"]
    else:
        lines = ["sounds here: " + " ".join(pitch_name(midi) for midi in here.midi)]
        lines.append("surest first: " + " ".join(pitch_name(midi) for midi in here.sure))
    names = [r.symbol.pretty for r in here.readings if r.symbol]
    if names:
        lines.append("likely: " + ", ".join(names))
    if here.grips:
        lines.append("grips: " + ", ".join(grip.text for grip in here.grips))
    lines.append(f"tuned {here.tuning_cents:+.0f} cents from A 440")
    if out:
        lines.append(f"wrote {out}")
    return "\n".join(lines)
