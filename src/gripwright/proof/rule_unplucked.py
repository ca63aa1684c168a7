"""Notes of a grip that the right hand never strikes while the chord lasts.

A note counts as heard where any string sounds its pitch class: struck in the chord, rung on from
the chord before, or played by a lick. A fifth that is left out is no loss (common practice, no
source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from gripwright.harmony.tones import Tone, tones_under
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.perform import perform
from gripwright.lesson.sound import Sound
from gripwright.lesson.strikes import Span, spans
from gripwright.lesson.unroll import played_bars
from gripwright.neck.tuning import Neck
from gripwright.proof.evidence import Evidence, Finding
from gripwright.theory.interval import Degree

RULE = "never-struck"
_FIFTH = Degree(5, 0)


def check(evidence: Evidence) -> Iterator[Finding]:
    """Yield a note for each chord of a part of which a pattern leaves something unheard."""
    if evidence.parsed.lesson is None or not _has_pattern(evidence.lesson):
        return
    lesson = replace(
        evidence.lesson, order=tuple(dict.fromkeys(evidence.lesson.order)), swing=Fraction(1, 2)
    )
    held = _held(spans(tuple(played_bars(lesson))))
    heard = _heard(perform(lesson), held)
    told: set[tuple[str, Chord]] = set()
    for stretch, pitch_classes in zip(held, heard, strict=True):
        first = stretch[0]
        chord, part = first.chord, first.where.part
        if chord is None or (part, chord) in told:
            continue
        if all(span.where.bar.pattern is None for span in stretch):
            continue
        lost = [t for t in _tones(chord, lesson.neck) if t.midi % 12 not in pitch_classes]
        if lost:
            told.add((part, chord))
            yield _finding(evidence, first, chord, lost)


def _has_pattern(lesson: Lesson) -> bool:
    return any(bar.pattern is not None for part in lesson.parts for bar in part.bars)


def _held(row: Sequence[Span]) -> list[list[Span]]:
    """Return the spans of a row in stretches of one chord in one part."""
    stretches: list[list[Span]] = []
    for span in row:
        last = stretches[-1][-1] if stretches else None
        if (
            last is not None and last.chord == span.chord and last.end == span.start
            and last.where.part == span.where.part
        ):  # fmt: skip
            stretches[-1].append(span)
        else:
            stretches.append([span])
    return stretches


def _heard(sounds: Sequence[Sound], held: Sequence[Sequence[Span]]) -> list[set[int]]:
    """Return the pitch classes that sound in each stretch; both come in order of start."""
    found: list[set[int]] = []
    ringing: list[Sound] = []
    at = 0
    for stretch in held:
        start, end = stretch[0].start, stretch[-1].end
        while at < len(sounds) and sounds[at].start < end:
            ringing.append(sounds[at])
            at += 1
        ringing = [sound for sound in ringing if sound.end > start]
        found.append({sound.midi % 12 for sound in ringing if sound.start < end})
    return found


def _tones(chord: Chord, neck: Neck) -> tuple[Tone, ...]:
    if chord.grip is None or chord.symbol is None:
        return ()
    return tuple(
        tone for tone in tones_under(chord.symbol, chord.grip, neck) if tone.degree != _FIFTH
    )


def _finding(evidence: Evidence, span: Span, chord: Chord, lost: Sequence[Tone]) -> Finding:
    where = span.where
    node = ("chord", where.part, where.bar_index, where.bar.chords.index(span.event))
    place = node if node in evidence.parsed.spans else ("bar", where.part, where.bar_index)
    strings = _listed([str(tone.string) for tone in lost])
    names = list(dict.fromkeys(f"{tone.degree.pretty} ({tone.note.pretty})" for tone in lost))
    silent = f"its {_listed(names)} {'are' if len(names) > 1 else 'is'} not heard"
    return evidence.find(
        "note", RULE, place,
        f"the hand of {where.part} never strikes string{'s' * (len(lost) > 1)} {strings} of "
        f"{chord.name}, so {silent}",
        "give the pattern a stroke on that string, or let a chord stroke open the bar",
    )  # fmt: skip


def _listed(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
