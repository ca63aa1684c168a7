"""The notes of a MusicXML file with their letters, read without building a score.

Only what the letters are measured by is read: of each note its start, length and written pitch,
tied notes as one, no grace notes; and the key signatures. The elements are those of the open
standard MusicXML 4.0 (W3C Music Notation Community Group). A bar is as long as the longest of
its parts.
"""

from __future__ import annotations

import zipfile
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple
from xml.etree.ElementTree import Element, fromstring

SUFFIXES = (".mxl", ".xml", ".musicxml")
_SAME = 1e-6  # quarters
SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


class Written(NamedTuple):
    """A note as it is written, start and length in quarters."""

    start: float
    length: float
    midi: int
    step: str
    alter: int
    part: int

    @property
    def end(self) -> float:
        """Return where it stops."""
        return self.start + self.length


class Signature(NamedTuple):
    """A key signature where it comes into force."""

    start: float
    part: int
    sharps: int


@dataclass
class _Part:
    """What has been read of a part; its cursor stands in quarters from the start of the bar."""

    number: int
    divisions: int = 1
    bar: Fraction = Fraction(0)
    at: Fraction = Fraction(0)
    before: Fraction = Fraction(0)
    end: Fraction = Fraction(0)
    notes: list[Written] = field(default_factory=list)
    signatures: list[Signature] = field(default_factory=list)
    tied: dict[tuple[int, str], int] = field(default_factory=dict)

    def quarters(self, element: Element) -> Fraction:
        """Return the duration that an element states."""
        return Fraction(element.findtext("duration") or "0") / self.divisions


def read(path: Path) -> tuple[list[Written], list[Signature]]:
    """Return the notes and the key signatures of a file, sorted."""
    root = fromstring(_text(path))
    parts = [_Part(number) for number, _ in enumerate(root.findall("part"))]
    bars = [part.findall("measure") for part in root.findall("part")]
    for index in range(max(map(len, bars))):
        for part, mine in zip(parts, bars, strict=True):
            if index < len(mine):
                _bar(part, mine[index])
        longest = max(part.end for part in parts)
        for part in parts:
            part.bar += longest
            part.at = part.end = Fraction(0)
    notes = [note for part in parts for note in part.notes]
    return sorted(notes), sorted(sign for part in parts for sign in part.signatures)


def _text(path: Path) -> bytes:
    """Return the score of a file; in a packed one, the container names it."""
    if path.suffix != ".mxl":
        return path.read_bytes()
    with zipfile.ZipFile(path) as packed:
        names = [n for n in packed.namelist() if not n.startswith(("META-INF", "__"))]
        return packed.read(next(n for n in names if n.endswith((".xml", ".musicxml"))))


def _bar(part: _Part, bar: Element) -> None:
    """Read one bar of a part."""
    for element in bar:
        if element.tag == "attributes":
            _attributes(part, element)
        elif element.tag == "backup":
            part.at -= part.quarters(element)
        elif element.tag == "forward":
            part.at += part.quarters(element)
        elif element.tag == "note" and element.find("grace") is None:
            _note(part, element)


def _attributes(part: _Part, element: Element) -> None:
    part.divisions = int(element.findtext("divisions") or part.divisions)
    for fifths in element.findall("key/fifths"):
        start = float(part.bar + part.at)
        part.signatures.append(Signature(start, part.number, int(fifths.text or 0)))


def _note(part: _Part, element: Element) -> None:
    """Read a note or a rest; a chord's further notes start where its first did."""
    length = part.quarters(element)
    if element.find("chord") is None:
        part.before = part.at
        part.at += length
    pitch = element.find("pitch")
    if pitch is None:
        return
    part.end = max(part.end, part.before + length)
    step, alter = pitch.findtext("step") or "C", round(float(pitch.findtext("alter") or 0))
    midi = 12 * (int(pitch.findtext("octave") or 4) + 1) + SEMITONES[step] + alter
    start = float(part.bar + part.before)
    note = Written(start, float(length), midi, step, alter, part.number)
    tied = part.tied.pop((midi, step), None)
    ties = {tie.get("type") for tie in element.findall("tie")}
    if tied is not None and ("stop" in ties or start <= part.notes[tied].end + _SAME):
        whole = part.notes[tied]
        part.notes[tied] = whole._replace(length=note.end - whole.start)
    else:
        tied = len(part.notes)
        part.notes.append(note)
    if "start" in ties:
        part.tied[midi, step] = tied
