"""Chord symbols and grip frames as MusicXML `harmony` and `frame` elements.

The 33 `kind` values are those of the MusicXML 4.0 schema (W3C). What each implies is its
definition in that schema's documentation; where a quality claims more, less or otherwise,
`degree` elements say so (not printed, since the kind's text already does).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lxml import etree

from gripwright.lesson.model import Chord, Finger
from gripwright.neck.grip import Grip
from gripwright.theory.interval import Degree, degrees
from gripwright.theory.pitch import LETTERS, Note
from gripwright.theory.quality import BASES, Quality
from gripwright.theory.symbol import ChordSymbol

# The degrees that a kind implies (MusicXML 4.0, type kind-value).
KIND_DEGREES: dict[str, tuple[Degree, ...]] = {
    kind: degrees(content)
    for kind, content in (
        ("major", "1 3 5"), ("minor", "1 b3 5"), ("diminished", "1 b3 b5"),
        ("augmented", "1 3 #5"), ("power", "1 5"), ("suspended-second", "1 2 5"),
        ("suspended-fourth", "1 4 5"), ("major-sixth", "1 3 5 6"), ("minor-sixth", "1 b3 5 6"),
        ("dominant", "1 3 5 b7"), ("major-seventh", "1 3 5 7"), ("minor-seventh", "1 b3 5 b7"),
        ("major-minor", "1 b3 5 7"), ("diminished-seventh", "1 b3 b5 bb7"),
        ("half-diminished", "1 b3 b5 b7"), ("augmented-seventh", "1 3 #5 b7"),
        ("dominant-ninth", "1 3 5 b7 9"), ("major-ninth", "1 3 5 7 9"),
        ("minor-ninth", "1 b3 5 b7 9"), ("dominant-11th", "1 3 5 b7 9 11"),
        ("major-11th", "1 3 5 7 9 11"), ("minor-11th", "1 b3 5 b7 9 11"),
        ("dominant-13th", "1 3 5 b7 9 11 13"), ("major-13th", "1 3 5 7 9 11 13"),
        ("minor-13th", "1 b3 5 b7 9 11 13"),
    )
}  # fmt: skip
_LEAST_FRETS = 4


def harmony(chord: Chord, grip: Grip | None) -> etree._Element | None:
    """Return the `harmony` of a chord with its frame, None for a chord without a symbol.

    A grip that plays no string has no frame: the schema wants a note in it.
    """
    if chord.symbol is None:
        return None
    symbol = chord.symbol
    element = etree.Element("harmony")
    _note(etree.SubElement(element, "root"), "root", symbol.root)
    kind = etree.SubElement(element, "kind", text=_kind_text(symbol))
    kind.text = BASES[symbol.quality.base].kind
    if symbol.bass is not None:
        _note(etree.SubElement(element, "bass"), "bass", symbol.bass)
    for how, number, alter in kind_changes(symbol.quality):
        _degree(element, how, number, alter)
    if grip is not None and grip.frets != (None,) * len(grip):
        element.append(frame(grip, chord.fingers))
    return element


def kind_changes(quality: Quality) -> Iterator[tuple[str, int, int]]:
    """Yield what a quality changes in its kind: (add, alter or subtract, number, alteration).

    The alteration counts from the kind's own degree for alter, from that of a dominant chord
    for add (a plain 7 is 1, a flat 7 is 0), as type degree-alter of the schema has it.

    >>> from gripwright.theory.interval import parse_degree
    >>> list(kind_changes(Quality("7", (parse_degree("b9"), parse_degree("#5")))))
    [('alter', 5, 1), ('add', 9, -1)]
    """
    implied = {degree.number: degree for degree in KIND_DEGREES[BASES[quality.base].kind]}
    said: dict[int, list[Degree]] = {}
    for degree in quality.degrees:
        said.setdefault(degree.number, []).append(degree)
    for number in sorted({*implied, *said}):
        kept, heard = implied.get(number), said.get(number, [])
        if kept is not None and len(heard) == 1 and heard[0] != kept and number in (5, 9):
            yield "alter", number, heard[0].alter - kept.alter
            continue
        if kept is not None and kept not in heard:
            yield "subtract", number, 0
        for degree in heard:
            if degree != kept:
                yield "add", number, degree.alter + (number == 7)


def _degree(parent: etree._Element, how: str, number: int, alter: int) -> None:
    element = etree.SubElement(parent, "degree", {"print-object": "no"})
    etree.SubElement(element, "degree-value").text = str(number)
    etree.SubElement(element, "degree-alter").text = str(alter)
    etree.SubElement(element, "degree-type").text = how


def _kind_text(symbol: ChordSymbol) -> str:
    text = symbol.pretty[len(symbol.root.pretty) :]
    return text.removesuffix(f"/{symbol.bass.pretty}") if symbol.bass else text


def _note(parent: etree._Element, name: str, note: Note) -> None:
    etree.SubElement(parent, f"{name}-step").text = LETTERS[note.step]
    if note.alter:
        etree.SubElement(parent, f"{name}-alter").text = str(note.alter)


def frame(grip: Grip, fingers: Sequence[Finger | None] | None = None) -> etree._Element:
    """Return the `frame` of a grip: string 1 is the highest, a barre starts at the lowest.

    An open string is fret 0, one that is not played has no note.
    """
    pressed = grip.pressed
    first = 1 if not pressed or max(pressed) <= _LEAST_FRETS else min(pressed)
    element = etree.Element("frame")
    etree.SubElement(element, "frame-strings").text = str(len(grip))
    shown = max(_LEAST_FRETS, max(pressed, default=0) - first + 1)
    etree.SubElement(element, "frame-frets").text = str(shown)
    if first > 1:
        etree.SubElement(element, "first-fret").text = str(first)
    barres = _barres(grip, fingers or ())
    for index, fret in enumerate(grip.frets):
        if fret is None:
            continue
        note = etree.SubElement(element, "frame-note")
        etree.SubElement(note, "string").text = str(len(grip) - index)
        etree.SubElement(note, "fret").text = str(fret)
        if fingers and fingers[index] is not None:
            etree.SubElement(note, "fingering").text = fingers[index]
        if index in barres:
            etree.SubElement(note, "barre", type=barres[index])
    return element


def _barres(grip: Grip, fingers: Sequence[Finger | None]) -> dict[int, str]:
    """Return where barres start and stop: one finger on several strings at one fret."""
    ends: dict[int, str] = {}
    for finger in set(fingers) - {None}:
        held = [i for i, f in enumerate(fingers) if f == finger and grip.frets[i]]
        if len(held) > 1 and len({grip.frets[i] for i in held}) == 1:
            ends[held[0]], ends[held[-1]] = "start", "stop"
    return ends
