"""What the shelf keeps of a lesson: each chord as it is written, held, and heard in its key."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from gripwright.errors import InputError, SearchError
from gripwright.harmony.explain import Explained
from gripwright.harmony.tones import tones_under
from gripwright.lesson.arranged import Written
from gripwright.lesson.explained import explain_lesson
from gripwright.lesson.model import Lesson
from gripwright.lesson.source import Report, text_sha256
from gripwright.lesson.text import Parsed
from gripwright.neck.grip import Grip
from gripwright.neck.tuning import Neck
from gripwright.theory.quality_text import quality_text
from gripwright.theory.symbol import ChordSymbol

PLAIN_REMARKS = frozenset({"diatonic", "leading-note"})  # said of most chords: no move of its own


@dataclass(frozen=True, slots=True)
class Use:
    """One written chord: ``bar`` and ``line`` count from 1, ``top`` is its highest degree.

    ``shape`` is the grip moved down to fret 1, "" where open strings sound or none is given;
    what the chart does not say is "".
    """

    part: str
    bar: int
    line: int
    symbol: str
    quality: str
    grip: str
    shape: str
    top: str
    key: str
    numeral: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LessonFacts:
    """A lesson on the shelf; ``level`` 0 where it states none."""

    path: str
    sha256: str
    title: str
    key: str
    tuning: str
    capo: int
    level: int
    tempo_bpm: float
    metre: str
    uses: tuple[Use, ...]


def facts_of(path: Path, text: str, parsed: Parsed) -> LessonFacts:
    """Return what the shelf keeps of a lesson that reads without a problem.

    A chart that cannot be explained (no chord in it yet) is kept without its chords.
    """
    lesson = parsed.lesson
    assert lesson is not None
    try:
        written, told = explain_lesson(lesson)
        rows = tuple(zip(written, told.chords, strict=True))
    except (InputError, SearchError):
        rows = ()
    report = Report(text)
    uses = tuple(_use(lesson, parsed, report, one, explained) for one, explained in rows)
    key = lesson.key.name if lesson.key else (uses[0].key if uses else "")
    level = lesson.fact("level", "0")
    return LessonFacts(
        str(path.resolve()), text_sha256(text), lesson.title, key, lesson.neck.tuning.text,
        lesson.neck.capo or 0, int(level) if level.isdecimal() else 0, float(lesson.tempo_bpm),
        f"{lesson.metre.count}/{lesson.metre.unit}", uses,
    )  # fmt: skip


def shape_of(grip: Grip) -> str:
    """Return a movable grip with its lowest fret at 1, "" for one with open strings.

    >>> shape_of(Grip((None, 3, 5, 4, 5, 3))), shape_of(Grip((0, 2, 2, 1, 0, 0)))
    ('x13231', '')
    """
    if 0 in grip.frets or not grip.pressed:
        return ""
    down = min(grip.pressed) - 1
    return Grip(tuple(None if fret is None else fret - down for fret in grip.frets)).text


def _use(lesson: Lesson, parsed: Parsed, report: Report, written: Written, told: Explained) -> Use:
    place = written.place
    span = parsed.spans.get(("chord", *place)) or parsed.spans.get(("bar", *place[:2]))
    symbol = written.asked.symbol or told.symbol
    grip = written.asked.grip
    return Use(
        place.part, place.bar + 1, report.place(span.start)[0] if span else 1,
        symbol.text if symbol else "", quality_text(symbol.quality) if symbol else "",
        grip.text if grip else "", shape_of(grip) if grip else "",
        _top(symbol, grip, lesson.neck), told.key.name, told.numeral or "",
        tuple(dict.fromkeys(r.kind for r in told.remarks if r.kind not in PLAIN_REMARKS)),
    )  # fmt: skip


def _top(symbol: ChordSymbol | None, grip: Grip | None, neck: Neck) -> str:
    if symbol is None or grip is None:
        return ""
    tones = tones_under(symbol, grip, neck)
    return max(tones, key=lambda tone: tone.midi).degree.text if tones else ""
