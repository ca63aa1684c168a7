"""What people read of an explanation: one column of chords, and beneath each what is said of it.

Lines keep to 80 columns. What has been said once is not said again, and of the voices only those
that matter most are told, in short.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

import click

from gripwright.harmony.explain import Explained, Explanation
from gripwright.harmony.threads import Thread
from gripwright.lesson.lick_roles import PartLicks

WIDTH = 80
MOST_THREADS = 3
MOST_RANK = 4  # half steps, and guide tones that stay or move a whole step
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_SMALL = ("diatonic",)  # said by the numeral already
_LEAST_COLUMNS = (10, 8, 11)  # symbol, numeral, function; wider where one needs it
_INDENT = " " * 6
_TIED = "\N{NO-BREAK SPACE}"  # between a note and its degree
_VOICES = {"bass": "in the bass ", "top": "on top "}


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a chord of a lesson stands: its part, and its 0-based bar there."""

    part: str
    bar: int


def page(told: Explanation, spots: Sequence[Spot] = ()) -> str:
    """Return an explanation as text; ``spots`` are a lesson's, one a chord."""
    lines: list[str] = []
    said: set[str] = set()
    also = {region.start: region.key.pretty for region in told.keys.also}
    starts = {region.start: region for region in told.keys.regions}
    leads: dict[int, list[Thread]] = {}
    for start, _, thread in told.threads:
        leads.setdefault(start, []).append(thread)
    goals = {start: told.chords[end] for start, end, _ in told.threads}
    widths = _widths(told.chords)
    for index, chord in enumerate(told.chords):
        if spots and (not index or spots[index - 1].part != spots[index].part):
            lines += ["", click.style(spots[index].part, bold=True)]
            lines += [""] if index not in starts else []
        if index in starts:
            lines += ["", _key_line(starts[index].key.pretty, also.get(index)), ""]
        lines += _row(chord, widths, _bar(spots, index))
        sayings = [remark.text for remark in chord.remarks if remark.kind not in _SMALL]
        if index in goals and not any(remark.kind == "shape-moved" for remark in chord.remarks):
            sayings.append(_leading(goals[index], leads[index]))
        lines += _unsaid(sayings, said)
    return "\n".join(lines).strip("\n")


def licks_page(part: PartLicks) -> str:
    """Return the licks of a part: each note, its degree over the chord, and what it does."""
    implied = f", {_print(part.mode)}" if part.mode else ""
    lines = ["", click.style(f"Licks in {part.part}{implied}", bold=True), ""]
    bar, over = -1, ""
    for one in part.notes:
        place = f"{one.note.fret} on {one.note.string}"
        where = f"bar {one.bar + 1}" if one.bar != bar else ""
        chord = f"over {one.chord.pretty}" if (one.bar, one.chord.text) != (bar, over) else ""
        bar, over = one.bar, one.chord.text
        note = f"{one.judged.note.pretty:<4}{one.judged.degree.pretty:<5}{one.judged.role:<12}"
        lines.append(f"  {where:<8}{place:<10}{note}{chord}".rstrip())
    return "\n".join(lines)


def _key_line(key: str, other: str | None) -> str:
    doubt = click.style(f"  close behind: {other}", dim=True) if other else ""
    return click.style(key, bold=True) + doubt


def _unsaid(sayings: Sequence[str], said: set[str]) -> list[str]:
    """Return what was not said before, wrapped and set back."""
    lines: list[str] = []
    for text in dict.fromkeys(sayings):
        if text and text not in said:
            said.add(text)
            wrapped = textwrap.wrap(
                text, WIDTH, initial_indent=_INDENT, subsequent_indent=f"{_INDENT}  "
            )
            lines += [click.style(line.replace(_TIED, " "), dim=True) for line in wrapped]
    return lines


def _leading(goal: Explained, threads: Sequence[Thread]) -> str:
    """Return how the voices lead on: the few that matter, each note told once."""
    told: list[Thread] = []
    for thread in threads:
        if _matters(thread) and not any(_shares(thread, other) for other in told):
            told.append(thread)
    if not told or goal.symbol is None:
        return ""
    return f"To {goal.symbol.pretty}: {', '.join(map(_short, told[:MOST_THREADS]))}."


def _shares(one: Thread, other: Thread) -> bool:
    """Return whether two threads share a note; two half steps may close in on one."""
    return one.here[0] == other.here[0] or (
        one.there[0] == other.there[0] and one.motion * other.motion != -1
    )


def _matters(thread: Thread) -> bool:
    """Return whether a thread is worth a place: it leads on, and does not only ring on."""
    outer = thread.voice in _VOICES and 0 < abs(thread.motion) <= 2
    same = thread.here == thread.there
    return (thread.rank <= MOST_RANK or outer) and not same


def _short(thread: Thread) -> str:
    """Return a thread in few words, ``C (♭7) falls a half step to B (3)``."""
    (note, degree), (other, goal) = thread.here, thread.there
    start = f"{_VOICES.get(thread.voice, '')}{note.pretty}{_TIED}({degree.pretty})"
    if not thread.motion:
        renamed = "" if note == other else f" as {other.pretty}"
        return f"{start} stays{renamed}{_TIED}({goal.pretty})"
    verb = "rises" if thread.motion > 0 else "falls"
    size = "" if thread.kind == "leap" else f" a {thread.kind}"
    return f"{start} {verb}{size} to {other.pretty}{_TIED}({goal.pretty})"


def _bar(spots: Sequence[Spot], index: int) -> str:
    """Return the number of a bar where it starts, as wide everywhere; nothing without a lesson."""
    if not spots:
        return ""
    starts = not index or spots[index - 1] != spots[index]
    return f"{spots[index].bar + 1:>3}  " if starts else " " * 5


def _cells(chord: Explained) -> tuple[str, str, str]:
    """Return symbol, numeral and function in print."""
    symbol = chord.symbol.pretty if chord.symbol else "–"
    return symbol, numeral_in_print(chord.numeral or ""), chord.function or ""


def _widths(chords: Sequence[Explained]) -> tuple[int, ...]:
    """Return how wide the columns of symbols, numerals and functions are, two spaces apart."""
    columns = zip(*map(_cells, chords), strict=True)
    longest = [max(map(len, cells)) + 2 for cells in columns]
    return tuple(max(least, size) for least, size in zip(_LEAST_COLUMNS, longest, strict=True))


def _row(chord: Explained, widths: Sequence[int], bar: str) -> list[str]:
    """Return the line of a chord; more scales than fit go on beneath each other."""
    cells = zip(_cells(chord), widths, strict=True)
    start = f"  {bar}" + "".join(f"{cell:<{width}}" for cell, width in cells)
    if chord.symbol is None or not chord.scales:
        return [start.rstrip()]
    root = f"{chord.symbol.root.name} "
    scales = ", ".join(_print(scale.removeprefix(root)) for scale in chord.scales)
    return textwrap.wrap(
        f"{start}{scales}", WIDTH, subsequent_indent=" " * len(start), break_on_hyphens=False
    )


def numeral_in_print(text: str) -> str:
    """Return a numeral with printed accidentals and raised figures.

    >>> numeral_in_print("bVI"), numeral_in_print("V65/ii"), numeral_in_print("viio7")
    ('♭VI', 'V⁶⁵/ii', 'vii°⁷')
    """
    text = re.sub(r"b(?=[IViv])", "♭", text).replace("#", "♯")
    text = re.sub(r"(?<=[iIvV])o", "°", text)
    return re.sub(r"\d+", lambda match: match[0].translate(_RAISED), text)


def _print(scale: str) -> str:
    return re.sub(r"^([A-G])b", r"\1♭", re.sub(r"^([A-G])#", r"\1♯", scale)).replace(" b6", " ♭6")
