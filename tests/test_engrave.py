"""Engraving: the systems of a score, checked against the score itself."""

import io
import re
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from gripwright.draw.engrave import engrave
from gripwright.draw.raster import png
from gripwright.errors import InputError
from gripwright.formats.musicxml import write_musicxml
from gripwright.lesson.text import read_lesson

SVG = "{http://www.w3.org/2000/svg}"
OPEN = (("E", 2), ("A", 2), ("D", 3), ("G", 3), ("B", 3), ("E", 4))


def score(names: dict[int, str], bars: int) -> bytes:
    """Write a score of eighths on four strings; rehearsal marks by bar from 0."""
    measures = []
    for index in range(bars):
        head = _attributes() if index == 0 else ""
        if index in names:
            head += ("<direction><direction-type><rehearsal>" + names[index]
                     + "</rehearsal></direction-type></direction>")  # fmt: skip
        head += ('<harmony><root><root-step>A</root-step><root-alter>-1</root-alter></root>'
                 '<kind text="13(♯11)">dominant-13th</kind>'
                 '<degree print-object="no"><degree-value>11</degree-value><degree-alter>1'
                 "</degree-alter><degree-type>add</degree-type></degree></harmony>")  # fmt: skip
        top = "".join(_note(place, 1, "") for place in range(8))
        tab = "".join(_note(place, 2, _technical(place)) for place in range(8))
        measures.append(f'<measure number="{index + 1}">{head}{top}<backup><duration>16</duration>'
                        f"</backup>{tab}</measure>")  # fmt: skip
    body = "".join(measures)
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list>'
        '<score-part id="P1"><part-name>Guitar</part-name></score-part></part-list>'
        f'<part id="P1">{body}</part></score-partwise>'
    ).encode()


def _attributes() -> str:
    tunings = "".join(
        f'<staff-tuning line="{line}"><tuning-step>{step}</tuning-step>'
        f"<tuning-octave>{octave}</tuning-octave></staff-tuning>"
        for line, (step, octave) in enumerate(OPEN, start=1)
    )
    return (
        "<attributes><divisions>4</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
        '<staves>2</staves><clef number="1"><sign>G</sign><line>2</line></clef>'
        '<clef number="2"><sign>TAB</sign><line>5</line></clef>'
        f'<staff-details number="2"><staff-lines>6</staff-lines>{tunings}</staff-details>'
        "</attributes>"
    )


def _note(place: int, staff: int, technical: str) -> str:
    step, alter, octave = (("A", -1, 3), ("C", 0, 4), ("E", -1, 4), ("G", 0, 4))[place % 4]
    pitch = f"<step>{step}</step><alter>{alter}</alter><octave>{octave}</octave>"
    stem = "up" if staff == 1 else "none"
    return (
        f"<note><pitch>{pitch}</pitch><duration>2</duration><voice>{4 * staff - 3}</voice>"
        f"<type>eighth</type><stem>{stem}</stem><staff>{staff}</staff>{technical}</note>"
    )


def _technical(place: int) -> str:
    string, fret = ((4, 6), (3, 5), (2, 4), (1, 3))[place % 4]
    return (
        f"<notations><technical><string>{string}</string><fret>{fret}</fret></technical>"
        "</notations>"
    )


def texts(svg: str, kind: str) -> list[str]:
    """Return the texts of the groups of a class."""
    root = ElementTree.fromstring(svg)
    groups = [g for g in root.iter(f"{SVG}g") if kind in g.get("class", "").split()]
    return ["".join("".join(t.itertext()).split()) for g in groups for t in g.iter(f"{SVG}text")]


def test_every_bar_is_engraved_and_parts_start_lines() -> None:
    """The lines add up to the bars; each part begins one and its name is kept with it."""
    systems = engrave(score({0: "Verse", 5: "Bridge"}, 9))
    assert sum(system.bars for system in systems) == 9
    begun = [system for system in systems if system.begins]
    assert [(system.part, system.first_number) for system in begun] == [("Verse", 1), ("Bridge", 1)]
    assert sum(s.bars for s in systems if s.part == "Verse") == 5


def test_no_bar_is_left_alone_on_the_last_line() -> None:
    """A part of more than one line ends with two bars at the least."""
    for count in range(4, 10):
        systems = engrave(score({0: "A"}, count))
        assert len(systems) == 1 or systems[-1].bars >= 2


def test_tab_figures_are_the_frets_of_the_score() -> None:
    """Eight figures a bar, in order."""
    systems = engrave(score({}, 2))
    figures = [text for system in systems for text in texts(system.svg, "tabGrp")]
    assert figures == ["6", "5", "4", "3"] * 4


def test_chord_symbols_have_real_accidentals_and_no_private_glyphs() -> None:
    """A♭13(♯11) is set as such, its hidden degree not printed beside it."""
    system = engrave(score({}, 1))[0]
    assert texts(system.svg, "harm") == ["A♭13(♯11)"] == list(system.chords)
    assert not any("\ue000" <= sign <= "\uf8ff" for sign in system.svg)


def test_drawings_carry_attributes_only() -> None:
    """No style sheet, no script, and every colour in an attribute: a strict page may embed it."""
    svg = engrave(score({0: "A"}, 2))[0].svg
    assert "<style" not in svg and "<script" not in svg and "style=" not in svg
    ElementTree.fromstring(svg)


def test_the_same_score_gives_the_same_bytes() -> None:
    """Twice in a row, and after another score in between."""
    one = engrave(score({0: "A"}, 3))
    engrave(score({0: "B"}, 1))
    assert engrave(score({0: "A"}, 3)) == one


def test_a_score_is_engraved_in_any_thread() -> None:
    """A fresh thread draws what the first one does, as the workbench needs it."""
    with ThreadPoolExecutor(1) as other:
        drawn = other.submit(engrave, score({0: "A"}, 5)).result()
    engrave.cache_clear()
    assert engrave(score({0: "A"}, 5)) == drawn


def test_a_system_says_what_it_holds() -> None:
    """Part, bars and chords in words."""
    assert engrave(score({0: "Verse"}, 1))[0].words == (
        "Verse, bar 1: notation and tablature; chords A♭13(♯11)"
    )


def test_a_system_is_drawn_in_its_box() -> None:
    """There is ink, and none touches the upper or lower edge."""
    system = engrave(score({0: "A"}, 2))[0]
    image = Image.open(io.BytesIO(png(system.svg, 1200))).getchannel("A")
    box = image.point(lambda alpha: 255 if alpha > 40 else 0).getbbox()
    assert box is not None
    assert box[1] > 0 and box[3] < image.height


def _joined(kind: str) -> list[tuple[list[float], list[tuple[float, ...]]]]:
    """Return the numbers of each slide or slur of a demo, with the figures of its system."""
    lesson = read_lesson(Path(__file__).parents[1] / "demo" / "lamps-along-the-weir.md").lesson
    assert lesson is not None
    found = []
    for system in engrave(write_musicxml(lesson)):
        root = ElementTree.fromstring(system.svg)
        figures = [
            tuple(float(rect.get(name, "0")) for name in ("x", "y", "width", "height"))
            for rect in root.iter(f"{SVG}rect") if rect.get("class") == "mask"
        ]  # fmt: skip
        for group in root.iter(f"{SVG}g"):
            path = group.find(f"{SVG}path")
            if group.get("class", "").split()[:1] == [kind] and path is not None:
                numbers = [float(n) for n in re.findall(r"-?[0-9.]+", path.get("d", ""))]
                found.append((numbers, figures))
    return found


def test_a_slide_in_the_tab_slants_between_its_figures() -> None:
    """Each touches no figure; in this demo they go 6 to 5, 5 to 6 and 10 to 8."""
    slants = []
    for (x1, y1, x2, y2), figures in _joined("gliss"):
        tab = [figure for figure in figures if figure[1] < (y1 + y2) / 2 < figure[1] + figure[3]]
        if tab:
            assert x1 < x2
            assert all(x + wide <= x1 or x2 <= x for x, _, wide, _ in tab)
            slants.append("down" if y2 > y1 else "up")
    assert slants == ["down", "up", "down"]


def test_a_slur_in_the_tab_lies_under_the_next_string() -> None:
    """It rises less than half the way from string to string over its own figures."""
    heights = []
    for numbers, figures in _joined("slur"):
        ys = numbers[1::2]
        if min(ys) > min(figure[1] for figure in figures) - 314:  # else it is of the notation
            near = [f for f in figures if f[0] - 30 < numbers[0] < f[0] + f[2] + 30]
            heights.append(min(abs(ys[0] - figure[1]) for figure in near))
            assert max(ys) - min(ys) < 157
    assert len(heights) == 2 and max(heights) < 60


@pytest.mark.parametrize("bad", [b"", b"<score-partwise>", b"not xml", b"<score-partwise/>"])
def test_what_is_no_score_is_refused(bad: bytes) -> None:
    """Broken or empty XML is an input error."""
    with pytest.raises(InputError, match="MusicXML"):
        engrave(bad)


def test_no_entity_is_read_from_outside(tmp_path) -> None:
    """An external entity in the name of a part opens no file."""
    secret = tmp_path / "secret.txt"
    secret.write_text("treasure")
    plain = score({0: "NAME"}, 1).decode()
    head, body = plain.split("?>", 1)
    evil = f'{head}?><!DOCTYPE s [<!ENTITY x SYSTEM "{secret.as_uri()}">]>{body}'
    systems = engrave(evil.replace("NAME", "&x;").encode())
    assert all("treasure" not in system.part + system.svg for system in systems)
