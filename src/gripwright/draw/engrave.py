"""Notation with tab from MusicXML, one SVG a system, by verovio.

Names of parts (rehearsal marks) are taken out of the music and kept with the systems, for
the page to print in its margin; a part starts a new system. Chord symbols are set in our
type, with real accidentals. The drawings carry attributes only, no style sheet.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files

import verovio
from lxml import etree

from gripwright.draw.dress import SVG, dress, drop
from gripwright.draw.joins import JOINED
from gripwright.errors import InputError

UNITS_PER_MM = 12.0  # a staff of 6 mm
_OF_THREAD = threading.local()
_REMEDY = "give the MusicXML that formats.musicxml writes, or export the score again"


@dataclass(frozen=True, slots=True)
class System:
    """One line of music: its drawing, its size, and what it holds.

    ``part`` is the name of the part ("" where the score names none), ``begins`` whether the
    part starts here; ``first_number`` is the number in its part of the first bar, 0 a pickup.
    """

    svg: str
    part: str
    begins: bool
    first_number: int
    bars: int
    chords: tuple[str, ...]
    width_mm: float
    height_mm: float

    @property
    def words(self) -> str:
        """Return what the line holds, in words."""
        first, last = self.first_number, self.first_number + self.bars - 1
        at = f"bar {first}" if self.bars == 1 else f"bars {first} to {last}"
        part = f"{self.part}, " if self.part else ""
        chords = f"; chords {', '.join(self.chords)}" if self.chords else ""
        return f"{part}{at}: notation and tablature{chords}"


@dataclass(frozen=True, slots=True)
class _Bar:
    """A written bar of the score: its part, whether it starts it, its number there."""

    part: str
    begins: bool
    number: int


@lru_cache(maxsize=2)  # both sizes of paper hold the same systems
def engrave(musicxml: bytes, *, width_mm: float = 144.0, ground: str = "#FFFFFF") -> (
    tuple[System, ...]
):  # fmt: skip
    """Return the systems of a score, each ``width_mm`` wide.

    ``ground`` is the colour that the systems will stand on: tab figures are masked with it.
    Raises InputError when the bytes are no MusicXML that can be drawn.

    >>> engrave(b"<score-partwise/>")
    Traceback (most recent call last):
    ...
    gripwright.errors.InputError: the MusicXML holds no bars to engrave
    """
    score = _parse(musicxml)
    bars = _bars(score)
    _prepare(score)
    toolkit = _load(score, width_mm, "auto")
    counts = [count for span in _parts(bars) for count in _lines(toolkit, span)]
    _break(score, counts)
    toolkit = _load(score, width_mm, "encoded")
    systems, at = [], 0
    for page, count in enumerate(counts, start=1):
        root = etree.fromstring(toolkit.renderToSVG(page).encode())
        systems.append(_system(root, bars[at], count, width_mm, ground))
        at += count
    return tuple(systems)


def _parts(bars: list[_Bar]) -> list[tuple[int, int]]:
    """Return the first and the last bar of each part, counted from 1."""
    starts = [index for index, bar in enumerate(bars) if bar.begins or index == 0]
    ends = [*starts[1:], len(bars)]
    return [(start + 1, end) for start, end in zip(starts, ends, strict=True)]


def _lines(toolkit: verovio.toolkit, span: tuple[int, int]) -> list[int]:
    """Return how many bars go on each line of a part; none is left alone on the last."""
    toolkit.select({"measureRange": f"{span[0]}-{span[1]}"})
    toolkit.redoLayout()
    counts = [
        toolkit.renderToSVG(page).count('class="measure"')
        for page in range(1, toolkit.getPageCount() + 1)
    ]
    if len(counts) > 1 and counts[-1] == 1 and counts[-2] > 2:
        counts[-2:] = [counts[-2] - 1, 2]
    return counts


def _break(score: etree._Element, counts: list[int]) -> None:
    """Write the ends of lines into the score, each line a page of its own."""
    starts = {sum(counts[:line]) for line in range(1, len(counts))}
    for index, bar in enumerate(score.findall("./part[1]/measure")):
        for old in bar.findall("print"):
            bar.remove(old)
        if index in starts:
            bar.insert(0, etree.Element("print", {"new-page": "yes"}))


def _load(score: etree._Element, width_mm: float, breaks: str) -> verovio.toolkit:
    toolkit = _toolkit()
    toolkit.setOptions(_options(width_mm) | {"breaks": breaks})
    if not toolkit.loadData(etree.tostring(score, encoding="unicode")):
        raise InputError("the MusicXML cannot be engraved", field="musicxml", remedy=_REMEDY)
    return toolkit


def _toolkit() -> verovio.toolkit:
    """Return the toolkit of this thread: verovio finds its fonts only in the thread that was told
    where they are, which on import is the first one.
    """
    toolkit: verovio.toolkit | None = getattr(_OF_THREAD, "toolkit", None)
    if toolkit is None:
        verovio.setDefaultResourcePath(str(files("verovio") / "data"))
        verovio.enableLog(verovio.LOG_OFF)
        toolkit = _OF_THREAD.toolkit = verovio.toolkit()
    return toolkit


def _options(width_mm: float) -> dict[str, object]:
    return {
        "pageWidth": round(width_mm * UNITS_PER_MM), "pageHeight": 100, "scale": 100,
        "adjustPageHeight": True,
        "pageMarginTop": 22, "pageMarginBottom": 4, "pageMarginLeft": 2, "pageMarginRight": 2,
        "header": "none", "footer": "none", "svgViewBox": True, "svgRemoveXlink": True,
        "smuflTextFont": "none", "xmlIdSeed": 1, "mnumInterval": 0, "harmDist": 1.4,
        "minLastJustification": 0.6, "spacingStaff": 7, "svgAdditionalAttribute": list(JOINED),
    }  # fmt: skip


def _parse(musicxml: bytes) -> etree._Element:
    try:
        parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False)
        return etree.fromstring(musicxml, parser)
    except etree.XMLSyntaxError as error:
        raise InputError(
            f"the MusicXML does not parse: {error}", field="musicxml", remedy=_REMEDY
        ) from error


def _bars(score: etree._Element) -> list[_Bar]:
    """Return the written bars; a rehearsal mark starts a part, an implicit first bar is 0."""
    bars: list[_Bar] = []
    part, number = "", 1
    for bar in score.findall("./part[1]/measure"):
        name = bar.findtext("./direction/direction-type/rehearsal")
        if name is not None:
            part = name.strip()
        if name is not None or not bars:
            number = 0 if bar.get("implicit") == "yes" else 1
        bars.append(_Bar(part, name is not None, number))
        number += 1
    if not bars:
        raise InputError("the MusicXML holds no bars to engrave", field="musicxml", remedy=_REMEDY)
    return bars


def _prepare(score: etree._Element) -> None:
    """Take out what the page prints itself."""
    for spare in [
        *score.iter("rehearsal"),
        *score.findall(".//harmony/degree[@print-object='no']"),
    ]:
        drop(spare)  # verovio prints degrees that it is told not to print
    for mark in score.findall("./part[1]/measure[1]/direction/direction-type/metronome"):
        drop(mark)  # the page's head says it
    for name in score.iter("part-name", "part-abbreviation"):
        name.text = ""


def _system(root: etree._Element, first: _Bar, bars: int, width_mm: float, ground: str) -> System:
    """Return one of verovio's pages as a system in our type and colours."""
    height_mm = float(root.get("viewBox", "0 0 0 0").split()[3]) / UNITS_PER_MM
    chords = dress(root, ground)
    system = System("", first.part, first.begins, first.number, bars, chords, width_mm, height_mm)
    for name, value in (("width", f"{width_mm:g}mm"), ("height", f"{height_mm:.3f}mm"),
                        ("role", "img"), ("aria-label", system.words)):  # fmt: skip
        root.set(name, value)
    title = root.find(f"{SVG}desc")
    if title is not None:
        title.text = system.words
    return replace(system, svg=etree.tostring(root, encoding="unicode"))
