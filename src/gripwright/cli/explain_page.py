"""What people read of an explanation: one column of chords, and beneath each what is said of it."""

from __future__ import annotations

import re

import click

from gripwright.harmony.explain import Explained, Explanation
from gripwright.harmony.threads import Thread
from gripwright.lesson.lick_roles import PartLicks

_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_SMALL = ("diatonic",)  # said by the numeral already
STEP, MOST_THREADS = 2, 3
_VOICES = {"bass": "in the bass, ", "top": "on top, "}


def page(told: Explanation) -> str:
    """Return an explanation as text; what has been said once is not said again."""
    lines: list[str] = []
    said: set[str] = set()
    also = {region.start: region.key.pretty for region in told.keys.also}
    starts = {region.start: region for region in told.keys.regions}
    for index, chord in enumerate(told.chords):
        if index in starts:
            doubt = f"  or {also[index]}" if index in also else ""
            lines += ["", click.style(starts[index].key.pretty, bold=True) + doubt, ""]
        lines.append(_row(chord))
        sayings = [r.text for r in chord.remarks if r.kind not in _SMALL]
        moving = [thread for start, _, thread in told.threads if start == index and _worth(thread)]
        leads = sorted(moving, key=lambda thread: abs(thread.motion))
        sayings += [_told(thread) for thread in leads[:MOST_THREADS]]
        for text in sayings:
            if text not in said:
                said.add(text)
                lines.append(click.style(f"      {text}", dim=True))
    return "\n".join(lines).strip("\n")


def licks_page(part: PartLicks) -> str:
    """Return the licks of a part: each note, its degree over the chord, and what it does."""
    implied = f", {_print(part.mode)}" if part.mode else ""
    lines = ["", click.style(f"Licks in {part.part}{implied}", bold=True), ""]
    for one in part.notes:
        place = f"{one.note.fret} on {one.note.string}"
        degree = f"{one.judged.degree.pretty} of {one.chord.pretty}"
        where = f"  bar {one.bar + 1:<4}{place:<9}"
        lines.append(f"{where}{one.judged.note.pretty:<4}{degree:<16}{one.judged.role}")
    return "\n".join(lines)


def _worth(thread: Thread) -> bool:
    """Return whether a thread is worth a line: it moves, and by step."""
    return 0 < abs(thread.motion) <= STEP


def _told(thread: Thread) -> str:
    text = f"{_VOICES.get(thread.voice, '')}{thread.text}"
    return f"{text[0].upper()}{text[1:]}."


def _row(chord: Explained) -> str:
    if chord.symbol is None:
        return "  –"
    scales = ", ".join(_print(scale) for scale in chord.scales)
    parts = (chord.symbol.pretty, numeral_in_print(chord.numeral or ""), chord.function or "")
    return f"  {parts[0]:<12}{parts[1]:<10}{parts[2]:<19}{scales}".rstrip()


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
