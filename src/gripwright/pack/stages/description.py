"""The text for the page where the video is published: plain, with nothing to edit out."""

from __future__ import annotations

from gripwright.lesson.model import Chord, Lesson
from gripwright.neck.tuning import STANDARD, Neck
from gripwright.pack.stage import Job, Made
from gripwright.pack.views import chords_with_grips
from gripwright.screen.chapters import chapters
from gripwright.screen.clock import clock

CAUTION = (
    "Practise in short sittings, with a loose hand and breaks, and start slowly. Stop when "
    "something hurts, tingles or goes numb, and see a doctor or a hand therapist if it does not "
    "pass. Keep the volume at a level at which you can still talk."
)
RIGHTS = (
    "Sound, score and pictures were made from the written notes of this lesson, not from any "
    "record. Where a song belongs to somebody else, arranging, performing or publishing it may "
    "need a licence: follow the law and the licences that hold where you are."
)


def make(job: Job) -> tuple[Made, ...]:
    """Write ``description.txt``; raises OSError."""
    text = "\n\n".join(_sections(job.lesson)) + "\n"
    job.place("description.txt").write_text(text, encoding="utf-8", newline="\n")
    return (Made("description.txt", "description", supporter=False),)


def _sections(lesson: Lesson) -> list[str]:
    parts = chapters(lesson, clock(lesson))
    times = "\n".join(f"{_minutes(part.start_s)} {part.title}" for part in parts)
    chords = "\n".join(_chord(chord) for chord in chords_with_grips(lesson))
    return [
        lesson.title,
        "\n".join(_facts(lesson)),
        f"Chapters\n{times}",
        f"Grips (one fret a string, bass side first, x is not played)\n{chords}",
        CAUTION,
        RIGHTS,
    ]


def _facts(lesson: Lesson) -> list[str]:
    beat = "dotted quarter" if lesson.metre.groups[0] == 3 else "beat"
    facts = [
        f"Tuning: {_tuning(lesson.neck)}",
        f"Capo: {_capo(lesson.neck)}",
        f"Tempo: {float(lesson.tempo_bpm):g} a minute ({beat}), {lesson.metre.text}",
    ]
    return [*facts, f"Key: {lesson.key.pretty}"] if lesson.key else facts


def _tuning(neck: Neck) -> str:
    names = " ".join(pitch.note.pretty for pitch in neck.tuning.strings)
    return f"{names} (standard)" if neck.tuning == STANDARD else names


def _capo(neck: Neck) -> str:
    if neck.capo is None:
        return "partial, at " + " ".join(str(stop) for stop in neck.stops) + " (bass side first)"
    return f"fret {neck.capo}, frets counted from it" if neck.capo else "none"


def _chord(chord: Chord) -> str:
    assert chord.grip is not None
    name = chord.symbol.pretty if chord.symbol else chord.name
    return f"{name} {chord.grip.text}" if name != chord.grip.text else name


def _minutes(second: float) -> str:
    """Return a time as viewers' chapter lists write it, rounded down."""
    return f"{int(second) // 60}:{int(second) % 60:02d}"
