"""Read MusicXML (partwise or timewise, plain or compressed) as a list of notes.

Repeats are not unrolled, grace notes and unpitched notes are left out, transposing parts are
given as they sound. Entities, external files and addresses are never followed.
"""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from lxml import etree

from gripwright.beats import Metre, Quarters, parse_metre
from gripwright.errors import InputError
from gripwright.formats.content import content
from gripwright.formats.notes import NoteList, TimedNote
from gripwright.theory.pitch import LETTERS, STEP_SEMITONES, Note

MAX_BYTES = 64 * 1024 * 1024
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def read_musicxml(source: bytes | Path) -> NoteList:
    """Return the notes of a score; ``source`` is its content or its path.

    Raises InputError for what is no MusicXML, with the line where there is one.
    """
    data = source if isinstance(source, bytes) else content(source, MAX_BYTES)
    root = _parse(_unpacked(data))
    if root.tag == "score-timewise":
        root = _partwise(root)
    if root.tag != "score-partwise":
        raise _bad(f"its first element is {root.tag!r}")
    parts = root.findall("part")
    readers = [_Part(index) for index, _ in enumerate(parts)]
    for reader, part in zip(readers, parts, strict=True):
        reader.read(part)
    first = readers[0] if readers else _Part(0)
    notes = sorted(note for reader in readers for note in reader.notes)
    return NoteList(
        tuple(notes), tuple(first.bars), tuple(first.metres), tuple(first.tempos),
        tuple((n.text or "").strip() for n in root.findall("part-list/score-part/part-name")),
        (root.findtext("work/work-title") or root.findtext("movement-title") or "").strip(),
    )  # fmt: skip


def _unpacked(data: bytes) -> bytes:
    """Return the score inside a compressed file, or the data as it is."""
    if len(data) > MAX_BYTES:
        raise _bad(f"it is larger than {MAX_BYTES // 2**20} MB")
    if data[:2] != b"PK":
        return data
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            container = _parse(archive.read("META-INF/container.xml"))
            name = container.find(".//{*}rootfile")
            inside = archive.getinfo(name.get("full-path", "") if name is not None else "")
            if inside.file_size > MAX_BYTES:
                raise _bad(f"it unpacks to more than {MAX_BYTES // 2**20} MB")
            return archive.read(inside)
    except (zipfile.BadZipFile, KeyError) as error:
        raise _bad("its packing is damaged") from error


def _parse(data: bytes) -> etree._Element:
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, remove_comments=True,
        remove_pis=True,
    )  # fmt: skip
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise _bad(str(error)) from error
    declared: Any = root.getroottree().docinfo.internalDTD
    if declared is not None and any(True for _ in declared.iterentities()):
        raise _bad("it declares entities, which are never followed")
    return root


def _partwise(root: etree._Element) -> etree._Element:
    """Return a timewise score turned into a partwise one."""
    parts: dict[str, etree._Element] = {}
    for measure in root.findall("measure"):
        for piece in measure.findall("part"):
            part = parts.setdefault(piece.get("id", ""), etree.Element("part"))
            etree.SubElement(part, "measure").extend(list(piece))
    turned = etree.Element("score-partwise")
    turned.extend([e for e in root if e.tag != "measure"])
    turned.extend(parts.values())
    return turned


class _Part:
    """Read one part, keeping where it is and what holds."""

    def __init__(self, index: int) -> None:
        self.index = index
        self.notes: list[TimedNote] = []
        self.bars: list[Quarters] = []
        self.metres: list[tuple[Quarters, Metre]] = []
        self.tempos: list[tuple[Quarters, Fraction]] = []
        self.divisions = Fraction(1)
        self.semitones = 0
        self.at = Fraction(0)
        self.chord_at = Fraction(0)
        self.open: dict[tuple[int, int], list[TimedNote]] = {}

    def read(self, part: etree._Element) -> None:
        """Read every measure; a note that is tied to nothing ends where it is written."""
        start = Fraction(0)
        for measure in part.findall("measure"):
            self.bars.append(start)
            self.at = furthest = start
            for element in measure:
                self._element(element)
                furthest = max(furthest, self.at)
            start = furthest
        self.notes.extend(note for held in self.open.values() for note in held)
        self.open.clear()

    def _element(self, element: etree._Element) -> None:
        if element.tag == "note":
            self._note(element)
        elif element.tag == "backup":
            self.at -= self._duration(element)
        elif element.tag == "forward":
            self.at += self._duration(element)
        elif element.tag == "attributes":
            self._attributes(element)
        else:
            for sound in element.iter("sound"):
                if sound.get("tempo"):
                    self.tempos.append((self.at, _number(sound, sound.get("tempo"))))

    def _attributes(self, element: etree._Element) -> None:
        if (divisions := element.find("divisions")) is not None:
            self.divisions = _number(divisions, divisions.text)
            if self.divisions <= 0:
                raise _bad("divisions must be above 0", divisions)
        if (transpose := element.find("transpose")) is not None:
            steps = _number(transpose, transpose.findtext("chromatic", "0"))
            octaves = _number(transpose, transpose.findtext("octave-change", "0"))
            self.semitones = int(steps + 12 * octaves)
        time = element.find("time")
        if time is not None and time.find("beats") is not None:
            beats, unit = time.findtext("beats", ""), time.findtext("beat-type", "")
            groups = f" = {beats}" if "+" in beats else ""
            count = sum(int(_number(time, part)) for part in beats.split("+"))
            try:
                self.metres.append((self.at, parse_metre(f"{count}/{unit}{groups}")))
            except InputError as error:
                raise _bad(error.message, time) from error

    def _duration(self, element: etree._Element) -> Quarters:
        return _number(element, element.findtext("duration")) / self.divisions

    def _note(self, element: etree._Element) -> None:
        if element.find("grace") is not None:
            return
        length = self._duration(element)
        if element.find("chord") is not None:
            start = self.chord_at
        else:
            start = self.chord_at = self.at
            self.at += length
        pitch = element.find("pitch")
        if pitch is not None and length > 0:
            self._sound(element, self._pitched(element, pitch, start, length))

    def _pitched(
        self, element: etree._Element, pitch: etree._Element, start: Quarters, length: Quarters
    ) -> TimedNote:
        step = pitch.findtext("step", "").strip()
        if step not in LETTERS or not step:
            raise _bad(f"{step!r} is no step", pitch)
        alter = round(float(_number(pitch, pitch.findtext("alter", "0"))))
        octave = int(_number(pitch, pitch.findtext("octave")))
        note = Note(LETTERS.index(step), alter)
        midi = 12 * (octave + 1) + STEP_SEMITONES[note.step] + alter + self.semitones
        staff = int(_number(element, element.findtext("staff", "1")))
        spelling = note if self.semitones % 12 == 0 else None
        voice = element.findtext("voice", "")
        return TimedNote(start, length, midi, spelling, self.index, staff, voice)

    def _sound(self, element: etree._Element, note: TimedNote) -> None:
        """Keep a note, joined to the one that is tied to it."""
        ties = {tie.get("type") for tie in element.findall("tie")}
        held = self.open.setdefault((note.staff, note.midi), [])
        fits = [h for h in held if h.end == note.start] if "stop" in ties else []
        if fits:
            before = next((h for h in fits if h.voice == note.voice), fits[0])
            held.remove(before)
            note = replace(before, length=note.end - before.start)
        (held if "start" in ties else self.notes).append(note)


def _number(element: etree._Element, text: str | None) -> Fraction:
    clean = (text or "").strip()
    if not _NUMBER.fullmatch(clean) or len(clean) > 20:
        raise _bad(f"{clean!r} is no number", element)
    return Fraction(clean)


def _bad(reason: str, element: etree._Element | None = None) -> InputError:
    found = None if element is None else element.sourceline
    line = found if isinstance(found, int) else None
    at = "" if line is None else f"line {line}: "
    return InputError(
        f"this is no MusicXML that can be read: {at}{reason}", field="file", at=line,
        remedy="export the score again as MusicXML (.musicxml or .mxl)",
    )  # fmt: skip
