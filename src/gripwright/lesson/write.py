"""Write a lesson as canonical text: ``parse(write_lesson(lesson)).lesson == lesson``.

For lessons made by a program (a draft by ear, a new lesson). A lesson that a teacher typed is
changed by edits instead, so that every other byte stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from gripwright.beats import Metre, parse_metre
from gripwright.lesson.capo import moved, names_up
from gripwright.lesson.grid import Ruler
from gripwright.lesson.marks import doubt_text, length_text, ordinal
from gripwright.lesson.model import Bar, Chord, Lesson, Part, Pattern
from gripwright.lesson.write_bars import chart_words, lick_voices, stroke_lanes
from gripwright.neck.tuning import Neck

BARS_A_LINE = 4


def write_lesson(lesson: Lesson) -> str:
    """Return the canonical text of a lesson.

    Raises LessonError for a length or push that the grammar cannot say.
    """
    blocks = [write_front(lesson)]
    pending = [
        text
        for text in (
            write_grips(lesson.grips, names_up(lesson)),
            write_patterns(lesson.patterns, lesson.metre),
        )
        if text
    ]
    told = list(lesson.prose)
    for name in (None, *(part.name for part in lesson.parts)):
        here = [prose.markdown for prose in told if prose.after_part == name]
        if name is not None:
            blocks.append(write_part(lesson, lesson.part(name)))
        for index, markdown in enumerate(here):
            if index:
                blocks.append(pending.pop(0) if pending else "```grips\n```")
            blocks.append(markdown)
        if name is None:
            blocks += pending
            pending = []
    return "\n\n".join(blocks) + "\n"


def write_front(lesson: Lesson) -> str:
    """Return the front matter; what has its default is left out, save the tuning."""
    hand = _first_hand(lesson)
    capo = _capo_text(lesson.neck)
    fields = [
        ("title", lesson.title),
        ("tempo", number_text(lesson.tempo_bpm)),
        ("metre", lesson.metre.text),
        ("swing", "" if lesson.swing == Fraction(1, 2) else str(lesson.swing)),
        ("tuning", lesson.neck.tuning.text),
        ("capo", "" if capo == "0" else capo),
        ("key", lesson.key.name if lesson.key else "auto"),
        ("pickup", length_text(lesson.pickup) if lesson.pickup else ""),
        ("order", order_text(lesson.order) if lesson.order != _plain_order(lesson) else ""),
        ("hand", hand.name if hand else ""),
        ("names", lesson.names if lesson.names == "shape" else ""),
    ]
    known = [f"{name}: {value}" for name, value in fields if value]
    facts = [f"{name}: {value}".rstrip() for name, value in lesson.facts]
    return "\n".join(["---", *known, *facts, "---"])


def number_text(value: Fraction) -> str:
    """Return a number as people write it.

    >>> number_text(Fraction(185, 2)), number_text(Fraction(90))
    ('92.5', '90')
    """
    if 10**6 % value.denominator:
        return str(value)
    return f"{float(value):.6f}".rstrip("0").rstrip(".")


def order_text(order: Sequence[str]) -> str:
    """Return the parts as played; the same part twice running is ``x2``."""
    runs = [(name, len(list(group))) for name, group in groupby(order)]
    return ", ".join(f"{name} x{times}" if times > 1 else name for name, times in runs)


def _plain_order(lesson: Lesson) -> tuple[str, ...]:
    return tuple(part.name for part in lesson.parts)


def _first_hand(lesson: Lesson) -> Pattern | None:
    bars = [bar for part in lesson.parts for bar in part.bars]
    return bars[0].pattern if bars else None


def _capo_text(neck: Neck) -> str:
    return str(neck.capo) if neck.capo is not None else " ".join(map(str, neck.stops))


def write_grips(grips: Sequence[Chord], up: int = 0) -> str:
    """Return the block that sets grips out, nothing for none; ``up`` as in `grip_lines`."""
    if not grips:
        return ""
    width = max(len(chord.name) for chord in grips) + 2
    lines = [line for chord in grips for line in grip_lines(chord, width, up)]
    return "\n".join(["```grips", *lines, "```"])


def grip_lines(chord: Chord, width: int, up: int = 0) -> list[str]:
    """Return a grip's line and, where it has fingers, the one beneath; frets in one column.

    ``up`` is how many semitones the symbol sounds above its writing.
    """
    assert chord.grip is not None
    said = ""
    if chord.symbol is not None:
        typed = moved(chord.symbol, -up)
        if chord.name.rstrip("'") not in (typed.text, typed.pretty):
            said = f"={typed.text}"
    lines = [f"{chord.name:<{width}}{chord.grip.text}{said}{doubt_text(chord.doubt)}"]
    if chord.fingers:
        lines.append(" " * width + fingers_text(chord))
    return lines


def fingers_text(chord: Chord) -> str:
    """Return the fingers, each beneath the last digit of its fret."""
    assert chord.grip is not None and chord.fingers is not None
    signs = [finger or "." for finger in chord.fingers]
    if "-" not in chord.grip.text:
        return "".join(signs)
    places = chord.grip.text.split("-")
    padded = ["-" * (len(p) - 1) + s for p, s in zip(places, signs, strict=True)]
    return "-".join(padded)


def write_patterns(patterns: Sequence[Pattern], metre: Metre) -> str:
    """Return the block of right-hand patterns, nothing for none."""
    if not patterns:
        return ""
    lines: list[str] = []
    for pattern in patterns:
        own = metre
        if pattern.length != metre.length:
            own = parse_metre(length_text(pattern.length))
        lines.append(f"{pattern.name}: {own.text}")
        ruler = Ruler(own, pattern.length)
        lines += [
            f"{name:<8}| {' '.join(words)} |"
            for name, words in stroke_lanes(pattern.strokes, ruler)
        ]
    return "\n".join(["```right-hand", *lines, "```"])


def write_part(lesson: Lesson, part: Part) -> str:
    """Return the block of a part."""
    lines = [f"```part {part.name}"]
    if part.key:
        lines.append(f"key: {part.key.name}")
    metre = part.bars[0].metre if part.bars else lesson.metre
    if metre != lesson.metre:
        lines.append(f"metre: {metre.text}")
    hand = _first_hand(lesson)
    book = {chord.name: chord for chord in lesson.grips}
    pickup = lesson.pickup if lesson.order[:1] == (part.name,) else Fraction(0)
    for start, row in _rows(part.bars):
        if row[0].pattern != hand:
            hand = row[0].pattern
            lines.append(f"hand: {hand.name if hand else 'none'}")
        usual = [pickup if pickup and start + i == 0 else None for i in range(len(row))]
        chart = [bar_text(b, metre, book, u) for b, u in zip(row, usual, strict=True)]
        lines += _aligned(chart, [lick_voices(b.notes, Ruler(b.metre, b.length)) for b in row])
    return "\n".join([*lines, "```"])


def _rows(bars: Sequence[Bar]) -> Iterator[tuple[int, Sequence[Bar]]]:
    """Yield lines of bars: a new one after four, and where the right hand changes."""
    start = 0
    for index in range(1, len(bars) + 1):
        full = index - start == BARS_A_LINE
        if index == len(bars) or full or bars[index].pattern != bars[start].pattern:
            yield start, bars[start:index]
            start = index


def bar_text(
    bar: Bar, metre: Metre, book: dict[str, Chord], usual_length: Fraction | None = None
) -> str:
    """Return what stands between a bar's barlines in the chart.

    ``metre`` is the one that holds there, ``usual_length`` what the bar would last unsaid.
    """
    ruler = Ruler(bar.metre, bar.length)
    words: list[str] = ["(repeat)"] if bar.repeat_start else []
    if bar.endings:
        words.append(f"({' '.join(map(ordinal, bar.endings))})")
    if bar.metre != metre:
        words.append(f"({bar.metre.text})")
    if bar.length != (usual_length or bar.metre.length):
        words.append(f"(only {length_text(bar.length)})")
    words += chart_words(bar.chords, ruler, book)
    if bar.repeat_times > 1:
        words.append(f"(x{bar.repeat_times})")
    return " ".join(words)


def _aligned(chart: Sequence[str], licks: Sequence[Sequence[Sequence[str]]]) -> list[str]:
    """Return a line of bars and its lick lines, barline under barline."""
    voices = max(map(len, licks), default=0)
    rows = [list(chart)]
    for voice in range(voices):
        rows.append([" ".join(bar[voice]) if voice < len(bar) else "" for bar in licks])
    widths = [max(len(row[i]) for row in rows) for i in range(len(chart))]
    lines = []
    for number, row in enumerate(rows):
        head = ("lick " if number else "     ") if voices else ""
        cells = " | ".join(f"{text:<{width}}" for text, width in zip(row, widths, strict=True))
        lines.append(f"{head}| {cells} |")
    return lines
