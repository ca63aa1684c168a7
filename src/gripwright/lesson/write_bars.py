"""Write what stands between barlines: chords, licks and strokes as words on the beat grid.

The inverse of `chart`, `licks` and `hands`; an item keeps the step of the one before it where
that step fits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from gripwright.beats import Quarters
from gripwright.errors import LessonError
from gripwright.lesson.grid import Ruler, push_length
from gripwright.lesson.hands import KINDS
from gripwright.lesson.licks import AFTER, REACHED, SPANS
from gripwright.lesson.marks import doubt_text
from gripwright.lesson.model import Chord, ChordEvent, LickNote, Stroke, Technique

_DIVISIONS = (1, 2, 3, 4, 6, 8, 12, 16)
_MARK_OF = {technique: mark for mark, technique in (*REACHED.items(), *AFTER.items())}
_SPAN_MARK = {technique: mark for mark, technique in SPANS.items()}
_STROKE_MARK = {kind: mark for mark, kind in KINDS.items()}


@dataclass(frozen=True, slots=True)
class Item:
    """A word that fills a stretch of a lane, with the spans it stands in."""

    offset: Quarters
    length: Quarters
    word: str
    spans: tuple[Technique, ...] = ()

    @property
    def end(self) -> Quarters:
        """Return where it ends."""
        return self.offset + self.length


def words_on_grid(items: Sequence[Item], ruler: Ruler) -> list[str]:
    """Return the words of a lane's bar, steps and ``_`` among them.

    >>> from gripwright.beats import Metre
    >>> items = [Item(Fraction(0), Fraction(3), "Am9"), Item(Fraction(3), Fraction(1, 2), "D13")]
    >>> words_on_grid(items, Ruler(Metre(), Fraction(4)))
    ['Am9', '_', '_', 'by', '2', 'D13']
    """
    if len(items) == 1 and items[0].length == ruler.length and not items[0].spans:
        return [items[0].word]
    words: list[str] = []
    step = "1"
    spans: tuple[Technique, ...] = ()
    for item in items:
        if item.spans != spans:
            words += ["}"] * len(spans) + [_SPAN_MARK[span] for span in item.spans]
            spans = item.spans
        if item.word == "...":
            words.append("...")
            break
        now, count = _step_for(item, ruler, step)
        if now != step:
            words += ["by", now]
            step = now
        words += [item.word, *["_"] * (count - 1)]
    return words + ["}"] * len(spans)


def _step_for(item: Item, ruler: Ruler, step: str) -> tuple[str, int]:
    """Return the step that an item is written in, and how many of it."""
    kept = _count(item, ruler, step)
    if kept and kept <= 4:
        return step, kept
    for division in _DIVISIONS:
        count = _count(item, ruler, str(division))
        if count:
            return str(division), count
    whole = item.length / 4
    if whole.denominator > 999:
        raise LessonError(
            f"a length of {item.length} quarters is too fine to be written",
            remedy="use parts of a whole note down to a 999th",
        )
    return f"1/{whole.denominator}", whole.numerator


def _count(item: Item, ruler: Ruler, step: str) -> int | None:
    """Return how many steps fill an item exactly, None if they do not."""
    at, count = item.offset, 0
    while at < item.end:
        absolute = step.startswith("1/")
        at += Fraction(4, int(step[2:])) if absolute else ruler.step(at, int(step))
        count += 1
    return count if at == item.end else None


def chart_words(
    events: Sequence[ChordEvent],
    ruler: Ruler,
    book: dict[str, Chord],
    words: dict[int, str] | None = None,
) -> list[str]:
    """Return the words of a bar's chords; a chord struck again in the bar is ``/``.

    ``words`` gives some events, by index, a writing of their own.
    """
    items: list[Item] = []
    before: Chord | None = None
    at = Fraction(0)
    for index, event in enumerate(events):
        if event.offset > at:
            items.append(Item(at, event.offset - at, "rest"))
        fixed = (words or {}).get(index)
        word = fixed or _event_word(event, before, ruler, book)
        items.append(Item(event.offset, event.length, word))
        before = None if fixed else event.chord or before
        at = event.offset + event.length
    if at < ruler.length:
        items.append(Item(at, ruler.length - at, "rest"))
    return words_on_grid(items, ruler)


def _event_word(
    event: ChordEvent, before: Chord | None, ruler: Ruler, book: dict[str, Chord]
) -> str:
    push = ""
    if event.push:
        pushes = {push_length(ruler.metre, marks): "<" * marks for marks in (1, 2)}
        if event.push not in pushes:
            raise LessonError(
                f"a push of {event.push} quarters cannot be written",
                remedy="push by half a beat or a quarter of one",
            )
        push = pushes[event.push]
    label = f"@{event.label}" if event.label else ""
    if event.chord is None:
        body = "rest"
    elif not event.struck:
        body = "_"
    else:
        body = "/" if event.chord == before else chord_word(event.chord, book)
    return push + body + label


def chord_word(chord: Chord, book: dict[str, Chord]) -> str:
    """Return how the chart says a chord; ``book`` holds the grips set out, by name."""
    entry = book.get(chord.name)
    if entry is not None and replace(entry, doubt=None) == replace(chord, doubt=None):
        return chord.name + (doubt_text(chord.doubt) if chord.doubt != entry.doubt else "")
    word = chord.name
    if chord.grip is not None:
        said = f"={chord.symbol.text}" if chord.symbol else ""
        word = chord.name if chord.name.startswith(chord.grip.text) else chord.grip.text + said
    return word + doubt_text(chord.doubt)


def lick_voices(notes: Iterable[LickNote], ruler: Ruler) -> list[list[str]]:
    """Return the words of each voice of a bar's notes: as few voices as fit."""
    groups: dict[tuple[Quarters, Quarters, tuple[Technique, ...]], list[LickNote]] = {}
    for note in notes:
        spans = tuple(t for t in note.techniques if t in _SPAN_MARK)
        groups.setdefault((note.offset, note.length, spans), []).append(note)
    items = [
        Item(offset, length, "+".join(note_word(note) for note in group), spans)
        for (offset, length, spans), group in groups.items()
    ]
    return [_with_silence(voice, ruler) for voice in _in_voices(items)]


def note_word(note: LickNote) -> str:
    """Return how a lick says a note.

    >>> note_word(LickNote(Fraction(0), Fraction(1), 2, 13, ("slide", "vibrato")))
    '>13on2~'
    """
    marks = [_MARK_OF[t] for t in note.techniques if t in _MARK_OF]
    reached = "".join(mark for mark in marks if mark in REACHED)
    after = "".join(mark for mark in marks if mark in AFTER)
    dead = "dead" in note.techniques
    fret = "x" + (str(note.fret) if note.fret else "") if dead else str(note.fret)
    bend = f"b{note.bend}" if note.bend is not None else ""
    spelling = f"={note.spelling}" if note.spelling else ""
    tie = "_" if note.tied else ""
    end = f"on{note.string}{after}{spelling}{doubt_text(note.doubt)}"
    return f"{tie}{reached}{fret}{bend}{end}"


def stroke_lanes(strokes: Iterable[Stroke], ruler: Ruler) -> list[tuple[str, list[str]]]:
    """Return a pattern's lanes: the name of each and its words."""
    items = [Item(s.offset, s.length, stroke_word(s)) for s in strokes]
    lanes = []
    for voice in _in_voices(items):
        bodies = [item.word.strip("(!)") for item in voice]
        name = "fingers"
        if any(body[0] in "dur" for body in bodies):
            name = "strum"
        elif all(body.startswith("p") and "+" not in body for body in bodies):
            name = "thumb"
        lanes.append((name, _with_silence(voice, ruler)))
    return lanes or [("strum", ["..."])]


def stroke_word(stroke: Stroke) -> str:
    """Return how a pattern says a stroke.

    >>> stroke_word(Stroke(Fraction(0), Fraction(1), "pluck", (5, 3), ("p", "i")))
    'p5+i3'
    """
    if stroke.kind == "pluck":
        count = max(len(stroke.strings), len(stroke.fingers))
        fingers = stroke.fingers or ("",) * count
        strings = tuple(map(str, stroke.strings)) or ("",) * count
        body = "+".join(f + s for f, s in zip(fingers, strings, strict=True))
    else:
        body = _STROKE_MARK[stroke.kind] + "".join(map(str, stroke.strings))
    body += "!" if stroke.accent else ""
    return f"({body})" if stroke.ghost else body


def _in_voices(items: Iterable[Item]) -> list[list[Item]]:
    """Return items dealt into voices in which none overlap."""
    voices: list[list[Item]] = []
    for item in items:
        for voice in voices:
            if voice[-1].end <= item.offset:
                voice.append(item)
                break
        else:
            voices.append([item])
    return voices


def _with_silence(voice: Sequence[Item], ruler: Ruler) -> list[str]:
    """Return the words of a voice, ``.`` where it is silent."""
    filled: list[Item] = []
    at = Fraction(0)
    for item in voice:
        if item.offset > at:
            filled.append(Item(at, item.offset - at, ".", ()))
        filled.append(item)
        at = item.end
    if at < ruler.length:
        filled.append(Item(at, ruler.length - at, "..."))
    return words_on_grid(filled, ruler)
