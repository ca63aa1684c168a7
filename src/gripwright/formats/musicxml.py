"""Write a lesson as MusicXML 4.0: notation above, tab below, chord symbols and frames.

One part of two staves. The form is the written one, with repeats and endings; pitches are as
they sound, in a treble clef an octave lower, as guitar music is printed. The result is valid
against the W3C schema; the tests hold it to that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import lcm

from lxml import etree

from gripwright.beats import Quarters
from gripwright.formats.harmony_xml import harmony
from gripwright.formats.note_xml import NOTATION, TAB, Voice
from gripwright.formats.score_attributes import (
    changed_attributes,
    first_attributes,
    left_barline,
    opening_words,
    right_barline,
    sub,
    words,
)
from gripwright.formats.score_items import ScoreBar, score_bars
from gripwright.formats.score_voice import Value, voice_values
from gripwright.lesson.model import Chord, Lesson
from gripwright.lesson.perform import grip_of
from gripwright.neck.grip import Grip
from gripwright.theory.pitch import Pitch
from gripwright.theory.scale import Key

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)


def write_musicxml(lesson: Lesson, grips: Mapping[str, Grip] | None = None) -> bytes:
    """Return the score of a lesson as MusicXML, UTF-8.

    ``grips`` gives a grip to chords that have none, by their name in the chart.
    """
    root = etree.Element("score-partwise", version="4.0")
    sub(sub(root, "work"), "work-title", lesson.title)
    encoding = sub(sub(root, "identification"), "encoding")
    sub(encoding, "software", "Gripwright")
    for element in ("accidental", "beam", "stem"):
        sub(encoding, "supports", element=element, type="yes")
    part = sub(sub(root, "part-list"), "score-part", id="P1")
    sub(part, "part-name", "Guitar", print_object="no")
    _Score(lesson, grips or {}).write(sub(root, "part", id="P1"))
    return bytes(
        etree.tostring(
            root, xml_declaration=True, encoding="UTF-8", doctype=_DOCTYPE, pretty_print=True
        )
    )


class _Score:
    """Write the bars of one lesson, one after the other."""

    def __init__(self, lesson: Lesson, grips: Mapping[str, Grip]) -> None:
        self.lesson = lesson
        self.grips = grips
        self.bars = score_bars(lesson, grips)
        self.voices = [[voice_values(b.where, voice) for voice in b.voices] for b in self.bars]
        self.divisions = self._divisions()
        self.shown: Chord | None = None
        self.manner = ""

    def _divisions(self) -> int:
        """Return the parts of a quarter in which every place can be counted."""
        places = [
            place
            for bar, voices in zip(self.bars, self.voices, strict=True)
            for place in (
                bar.where.bar.length,
                *(event.offset for event in bar.where.bar.chords),
                *(v.piece.offset for voice in voices for v in voice),
                *(v.piece.length for voice in voices for v in voice),
            )
        ]
        return lcm(1, *(place.denominator for place in places))

    def write(self, part: etree._Element) -> None:
        """Append every bar as a measure."""
        pickup = bool(self.bars) and self.bars[0].where.bar.length < self.lesson.metre.length
        for index, (bar, voices) in enumerate(zip(self.bars, self.voices, strict=True)):
            number = index if pickup else index + 1
            measure = sub(part, "measure", number=str(number))
            if bar.where.bar.length != bar.where.bar.metre.length:
                measure.set("implicit", "yes")
            self._open(measure, index)
            self._fill(measure, bar, voices)
            self._close(measure, index)

    def _open(self, measure: etree._Element, index: int) -> None:
        """Append what stands before the notes: barline, attributes, part name, tempo."""
        here = self.bars[index]
        before = self.bars[index - 1] if index else None
        same_part = before is not None and before.where.part == here.where.part
        left_barline(measure, here.where.bar, before.where.bar if same_part and before else None)
        if before is None:
            metre, neck = here.where.bar.metre, self.lesson.neck
            first_attributes(measure, self.divisions, here.key, metre, neck)
        else:
            metres = (before.where.bar.metre, here.where.bar.metre)
            changed_attributes(measure, (before.key, here.key), metres)
        if not same_part:
            self.shown = None
            direction = sub(measure, "direction", placement="above")
            sub(sub(direction, "direction-type"), "rehearsal", here.where.part)
            sub(direction, "staff", NOTATION)
        if before is None:
            opening_words(measure, self.lesson)

    def _close(self, measure: etree._Element, index: int) -> None:
        here = self.bars[index].where
        following = self.bars[index + 1].where if index + 1 < len(self.bars) else None
        after = following.bar if following and following.part == here.part else None
        right_barline(measure, here.bar, after, last=following is None)

    def _fill(
        self, measure: etree._Element, bar: ScoreBar, voices: Sequence[Sequence[Value]]
    ) -> None:
        """Append the voices: on the notation staff, then the same on the tab."""
        rows = voices or [voice_values(bar.where, ())]
        accidentals = _accidentals(rows, bar.key)
        first = True
        for staff in (NOTATION, TAB):
            for index, row in enumerate(rows):
                if not first:
                    backup = sub(measure, "backup")
                    sub(backup, "duration", bar.where.bar.length * self.divisions)
                stem = None if len(rows) == 1 else ("up", "down")[index]
                voice = Voice(index + 1 if staff == NOTATION else index + 5, staff, stem,
                              self.divisions)  # fmt: skip
                self._row(measure, row, voice, accidentals, bar if first else None)
                first = False

    def _row(
        self,
        measure: etree._Element,
        row: Sequence[Value],
        voice: Voice,
        accidentals: Mapping[tuple[Quarters, Pitch], int],
        bar: ScoreBar | None,
    ) -> None:
        """Append one voice; the chord symbols go with the first."""
        names = list(self._names(bar)) if bar else []
        for value in row:
            end = value.piece.offset + value.piece.length
            while names and names[0][0] < end:
                offset, element = names.pop(0)
                self._place(measure, element, offset - value.piece.offset)
            if voice.staff == TAB:
                self._say_manner(measure, value)
            if value.item is None:
                voice.rest(measure, value, whole_bar=len(row) == 1)
            else:
                voice.chord(measure, value, accidentals)

    def _names(self, bar: ScoreBar) -> Iterator[tuple[Quarters, etree._Element]]:
        """Yield the chord symbols of a bar where the chord changes, with their offsets."""
        for event in bar.where.bar.chords:
            if event.chord is not None and event.chord != self.shown:
                element = harmony(event.chord, grip_of(event.chord, self.grips))
                if element is None:
                    element = etree.Element("direction", placement="above")
                    sub(sub(element, "direction-type"), "words", event.chord.name)
                yield event.offset, element
            self.shown = event.chord

    def _place(self, measure: etree._Element, element: etree._Element, later: Quarters) -> None:
        """Append a chord symbol, so much later than the note that follows it."""
        if later:
            sub(element, "offset", later * self.divisions)
        sub(element, "staff", NOTATION)
        measure.append(element)

    def _say_manner(self, measure: etree._Element, value: Value) -> None:
        """Append "P.M." or "let ring" where a run of such notes begins."""
        if value.item is None or not value.first:
            return
        heard = {technique for note in value.notes for technique in note.techniques}
        manner = "P.M." if "palm-mute" in heard else "let ring" if "let-ring" in heard else ""
        if manner and manner != self.manner:
            words(measure, manner, TAB)
        self.manner = manner


def _accidentals(rows: Sequence[Sequence[Value]], key: Key) -> dict[tuple[Quarters, Pitch], int]:
    """Return the accidental of each pitch that needs one, by its place in the bar.

    An accidental holds for its letter and octave to the end of the bar, in all voices; a note
    tied over the barline needs none.
    """
    signature = {note.step: note.alter for note in key.notes}
    signature = {step: signature.get(step, 0) for step in range(7)}
    held: dict[tuple[int, int], int] = {}
    needed: dict[tuple[Quarters, Pitch], int] = {}
    values = sorted((v for row in rows for v in row), key=lambda value: value.piece.offset)
    for value in values:
        for note in value.notes:
            place = (note.pitch.note.step, note.pitch.octave)
            alter = note.pitch.note.alter
            if note.tie_from or held.get(place, signature[place[0]]) == alter:
                continue
            needed[value.piece.offset, note.pitch] = alter
            held[place] = alter
    return needed
