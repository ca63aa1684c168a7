"""Notes of a score as MusicXML elements, on the notation staff and on the tab."""

from __future__ import annotations

from collections.abc import Mapping

from lxml import etree

from gripwright.beats import Quarters
from gripwright.formats.score_attributes import sub
from gripwright.formats.score_items import Item, ScoreNote
from gripwright.formats.score_voice import Value
from gripwright.lesson.model import StrokeKind, Technique
from gripwright.theory.pitch import LETTERS, Pitch

ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
NOTATION, TAB = 1, 2
HARMONICS: dict[Technique, str] = {"natural-harmonic": "natural", "touch-harmonic": "artificial"}
HAMMERED: dict[Technique | None, tuple[str, str]] = {
    "hammer": ("hammer-on", "H"), "pull": ("pull-off", "P"),
}  # fmt: skip
# MusicXML uses the signs of bowing for strokes on plucked strings too (element down-bow).
STROKES: dict[StrokeKind | None, str] = {"down": "down-bow", "up": "up-bow"}
ROLLS: dict[StrokeKind | None, str] = {"roll-up": "up", "roll-down": "down"}


class Voice:
    """Where a voice stands: its number, its staff, the way of its stems."""

    def __init__(self, number: int, staff: int, stem: str | None, divisions: int) -> None:
        self.number, self.staff, self.stem, self.divisions = number, staff, stem, divisions

    def rest(self, measure: etree._Element, value: Value, *, whole_bar: bool) -> None:
        """Append a rest; one that fills the bar is said to."""
        note = sub(measure, "note")
        if self.staff == TAB or (self.stem == "down" and whole_bar):
            note.set("print-object", "no")
        sub(note, "rest", **({"measure": "yes"} if whole_bar else {}))
        self._value(note, value, typed=not whole_bar)
        sub(note, "staff", self.staff)
        if value.tuplet:
            sub(sub(note, "notations"), "tuplet", type=value.tuplet)

    def chord(
        self, measure: etree._Element, value: Value, shown: Mapping[tuple[Quarters, Pitch], int]
    ) -> None:
        """Append the notes of a value, lowest string first.

        ``shown`` has the accidental of each pitch that needs one, by its place.
        """
        assert value.item is not None
        for index, played in enumerate(value.notes):
            note = sub(measure, "note")
            if self.staff == TAB and played.tie_from:
                note.set("print-object", "no")  # a tab shows a fret where it is struck
            if index:
                sub(note, "chord")
            pitch(note, played.pitch)
            self._value_of_note(note, value, played, shown)
            if self.staff == NOTATION and not index:
                for level, word in enumerate(value.beams, 1):
                    sub(note, "beam", word, number=str(level))
            self._notations(note, value, played, first=index == 0)
            if "palm-mute" in played.techniques:
                sub(sub(note, "play"), "mute", "palm")

    def _value_of_note(
        self,
        note: etree._Element,
        value: Value,
        played: ScoreNote,
        shown: Mapping[tuple[Quarters, Pitch], int],
    ) -> None:
        sub(note, "duration", self._duration(value))
        if played.tie_from:
            sub(note, "tie", type="stop")
        if played.tie_to:
            sub(note, "tie", type="start")
        sub(note, "voice", self.number)
        self._type(note, value)
        accidental = shown.get((value.piece.offset, played.pitch))
        if accidental is not None and self.staff == NOTATION:
            sub(note, "accidental", ACCIDENTALS[accidental])
        _time_modification(note, value)
        if self.staff == TAB or self.stem:
            sub(note, "stem", "none" if self.staff == TAB else self.stem)
        _notehead(note, value.item, played)
        sub(note, "staff", self.staff)

    def _value(self, note: etree._Element, value: Value, *, typed: bool) -> None:
        sub(note, "duration", self._duration(value))
        sub(note, "voice", self.number)
        if typed:
            self._type(note, value)
            _time_modification(note, value)

    def _duration(self, value: Value) -> Quarters:
        return value.piece.length * self.divisions

    def _type(self, note: etree._Element, value: Value) -> None:
        sub(note, "type", value.piece.type)
        for _ in range(value.piece.dots):
            sub(note, "dot")

    def _notations(
        self, note: etree._Element, value: Value, played: ScoreNote, *, first: bool
    ) -> None:
        notations = etree.Element("notations")
        if played.tie_from and self.staff == NOTATION:
            sub(notations, "tied", type="stop")
        if played.tie_to and self.staff == NOTATION:
            sub(notations, "tied", type="start")
        if first and value.tuplet and self.staff == NOTATION:
            sub(notations, "tuplet", type=value.tuplet)
        if self.staff == TAB:
            _technical(notations, played)
        elif value.item is not None and value.first:
            _stroke(notations, value.item, played, first=first)
        if len(notations):
            note.append(notations)


def pitch(note: etree._Element, written: Pitch) -> None:
    """Append a pitch; the format has octaves 0 to 9, and what is beyond is put in the nearest."""
    element = sub(note, "pitch")
    sub(element, "step", LETTERS[written.note.step])
    if written.note.alter:
        sub(element, "alter", written.note.alter)
    sub(element, "octave", min(9, max(0, written.octave)))


def _time_modification(note: etree._Element, value: Value) -> None:
    if value.piece.actual > 1:
        element = sub(note, "time-modification")
        sub(element, "actual-notes", value.piece.actual)
        sub(element, "normal-notes", value.piece.normal)


def _notehead(note: etree._Element, item: Item | None, played: ScoreNote) -> None:
    """Append a head that is not the usual: dead, harmonic, ghost."""
    if "dead" in played.techniques:
        sub(note, "notehead", "x")
    elif {"natural-harmonic", "touch-harmonic"} & set(played.techniques):
        sub(note, "notehead", "diamond")
    elif item is not None and item.ghost:
        sub(note, "notehead", "normal", parentheses="yes")


def _technical(notations: etree._Element, played: ScoreNote) -> None:
    """Append where a note is fretted and how it is made."""
    technical = sub(notations, "technical")
    for technique, element in HARMONICS.items():
        if technique in played.techniques:
            sub(sub(technical, "harmonic"), element)
    _joined(notations, technical, played)
    sub(technical, "string", played.string)
    sub(technical, "fret", played.fret)
    if played.bend_semitones:
        bend = sub(technical, "bend")
        sub(bend, "bend-alter", played.bend_semitones)
        if "release" in played.techniques:
            sub(bend, "release")
    if "vibrato" in played.techniques:
        ornaments = sub(notations, "ornaments")
        sub(ornaments, "wavy-line", type="start")
        sub(ornaments, "wavy-line", type="stop")


def _joined(notations: etree._Element, technical: etree._Element | None, played: ScoreNote) -> None:
    """Append slides, and slurs with their hammer-on or pull-off, numbered by string."""
    number = str(played.string)
    ends = (("stop", played.reached_by), ("start", played.leads_by))
    for end, technique in ends:
        if technique == "slide":
            sub(notations, "slide", line_type="solid", number=number, type=end)
        elif technique is not None:
            sub(notations, "slur", number=number, type=end)
    for end, technique in ends:
        if technical is not None and technique in HAMMERED:
            name, letter = HAMMERED[technique]
            sub(technical, name, letter if end == "start" else None, number=number, type=end)


def _stroke(notations: etree._Element, item: Item, played: ScoreNote, *, first: bool) -> None:
    """Append the right hand's marks: its fingers, the way of a strum or a roll, an accent."""
    _joined(notations, None, played)
    marks = etree.Element("technical")
    if first and item.stroke in STROKES:
        sub(marks, STROKES[item.stroke])
    if played.finger:
        sub(marks, "pluck", played.finger)
    if len(marks):
        notations.append(marks)
    if first and item.accent:
        sub(sub(notations, "articulations"), "accent")
    if item.stroke in ROLLS:
        sub(notations, "arpeggiate", direction=ROLLS[item.stroke])
