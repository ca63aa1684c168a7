"""The handout: its text, boxes, tags and pictures, read by poppler's tools.

PDF/UA-1 (ISO 14289-1) asks for tags, a title, a language and alternative texts; pdfinfo and
pdftotext show whether they are there.
"""

import re
import shutil
import subprocess
import zlib
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from gripwright.draw.symbols import chord_runs, runs_text
from gripwright.draw.words import grip_in_words
from gripwright.errors import BuildError
from gripwright.formats.musicxml import write_musicxml
from gripwright.lesson.model import Lesson
from gripwright.lesson.text import parse, read_lesson
from gripwright.page.handout import Style, handout, handout_data
from gripwright.page.shapes import grips_used
from gripwright.page.typeset import typeset

needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler")
DEMO = Path(__file__).parents[1] / "demo"
DEMOS = sorted(DEMO.glob("*.md"))
PAPER_PT = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}


def run(tool: str, *options: str, pdf: bytes, folder: Path) -> str:
    """Return what one of poppler's tools says of a PDF."""
    path = folder / "page.pdf"
    path.write_bytes(pdf)
    done = subprocess.run([tool, *options, str(path), "-"][: None if tool == "pdftotext" else -1],
                          capture_output=True, check=True)  # fmt: skip
    return done.stdout.decode(errors="replace")


def words(pdf: bytes, folder: Path) -> list[tuple[int, str, float, float, float, float]]:
    """Return page, text and box of every word."""
    root = ElementTree.fromstring(run("pdftotext", "-bbox", pdf=pdf, folder=folder))
    html = "{http://www.w3.org/1999/xhtml}"
    return [
        (page, word.text or "", *(float(word.get(side, "")) for side in
                                  ("xMin", "yMin", "xMax", "yMax")))
        for page, sheet in enumerate(root.iter(f"{html}page"))
        for word in sheet.iter(f"{html}word")
    ]  # fmt: skip


def lesson(text: str) -> Lesson:
    """Read a lesson that has no problems."""
    parsed = parse(text)
    assert parsed.lesson is not None, parsed.problems
    return parsed.lesson


def demo(path: Path) -> Lesson:
    """Read a demo lesson."""
    found = read_lesson(path).lesson
    assert found is not None
    return found


@pytest.fixture(scope="module", params=[(d, p) for d in DEMOS for p in PAPER_PT],
                ids=lambda param: f"{param[0].stem}-{param[1]}")  # fmt: skip
def made(request: pytest.FixtureRequest) -> tuple[Lesson, str, bytes]:
    """Return a demo lesson, a paper and the handout."""
    path, paper = request.param
    found = demo(path)
    return found, paper, handout(found, paper=paper, musicxml=write_musicxml(found))


@needs_poppler
def test_every_chord_symbol_is_printed_inside_the_page(made, tmp_path) -> None:
    """Each chord of the chart comes out of the PDF as text whose box is on the paper."""
    found, paper, pdf = made
    printed = words(pdf, tmp_path)
    wide, high = PAPER_PT[paper]
    assert all(0 < x0 < x1 < wide and 0 < y0 < y1 < high for _, _, x0, y0, x1, y1 in printed)
    joined = re.sub(r"\s", "", "".join(word[1] for word in printed))
    symbols = {runs_text(chord_runs(event.chord)) for part in found.parts for bar in part.bars
               for event in bar.chords if event.chord}  # fmt: skip
    assert symbols and not [name for name in symbols if name not in joined]


@needs_poppler
def test_accidentals_are_real_signs(made, tmp_path) -> None:
    """Symbols are printed with ♭ and ♯: no root or alteration is left in ASCII."""
    _, _, pdf = made
    printed = {word[1] for word in words(pdf, tmp_path)}
    assert any("♭" in text for text in printed)
    assert not [t for t in printed if re.fullmatch(r"[A-G][b#](m|maj|sus|\d|/|\().*", t)]


@needs_poppler
def test_the_document_is_tagged_titled_and_in_a_language(made, tmp_path) -> None:
    """pdfinfo sees tags, the title, PDF/UA and the right paper."""
    found, paper, pdf = made
    info = run("pdfinfo", pdf=pdf, folder=tmp_path)
    assert re.search(r"Tagged:\s+yes", info)
    assert re.search(rf"Title:\s+{re.escape(found.title)}", info)
    wide, high = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", info).groups()
    assert (float(wide), float(high)) == (pytest.approx(PAPER_PT[paper][0], abs=0.1),
                                          pytest.approx(PAPER_PT[paper][1], abs=0.1))  # fmt: skip
    assert b"/Lang" in pdf and b"pdfuaid:part" in pdf


@needs_poppler
def test_headings_carry_the_parts(made, tmp_path) -> None:
    """The structure tree holds the title, the sections and every part as headings."""
    found, _, pdf = made
    tree = run("pdfinfo", "-struct-text", pdf=pdf, folder=tmp_path)
    heads = re.sub(r"\s", "", "".join(re.findall(r'^\s*H\d.*(?:\n\s+"[^"]*".*)*', tree, re.M)))
    for name in (found.title, "Grips", "Chart", *(part.name for part in found.parts)):
        assert re.sub(r"\s", "", name) in heads


def test_every_grip_has_its_words(made) -> None:
    """The alternative text of each diagram names the chord and says the grip."""
    found, _, pdf = made
    texts = alternatives(pdf)
    for chord in grips_used(found):
        said = f"{runs_text(chord_runs(chord))}: "
        said += grip_in_words(chord.grip, found.neck, chord.fingers)
        assert said in texts
    assert any("notation and tablature" in text for text in texts)


def alternatives(pdf: bytes) -> set[str]:
    """Return the /Alt strings of a PDF, those in compressed object streams too."""
    chunks = [pdf]
    for stream in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S):
        try:
            chunks.append(zlib.decompress(stream[1]))
        except zlib.error:
            continue
    whole = b"\n".join(chunks)
    return {_pdf_text(_string_at(whole, match.end())) for match in re.finditer(rb"/Alt\s*", whole)}


def _string_at(data: bytes, at: int) -> bytes:
    """Return the PDF string that starts at a place; parentheses in it may be balanced."""
    if data[at : at + 1] == b"<":
        return data[at : data.index(b">", at) + 1]
    depth, end = 0, at
    while True:
        sign = data[end : end + 1]
        end += 2 if sign == b"\\" else 1
        depth += {b"(": 1, b")": -1}.get(sign, 0)
        if depth == 0:
            return data[at:end]


def _pdf_text(raw: bytes) -> str:
    """Decode a PDF string, literal or hexadecimal (ISO 32000-1, 7.3.4)."""
    if raw[:1] == b"<":
        body = bytes.fromhex(raw[1:-1].decode())
    else:
        escapes = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
        body = re.sub(
            rb"\\([0-7]{1,3}|\r?\n|.)",
            lambda m: bytes([int(m[1], 8)]) if m[1].isdigit() else escapes.get(m[1], m[1]),
            raw[1:-1], flags=re.S,
        )  # fmt: skip
    return body[2:].decode("utf-16-be") if body[:2] == b"\xfe\xff" else body.decode("latin-1")


def test_the_same_lesson_gives_the_same_bytes(made) -> None:
    """Set again, and after another document in between, the PDF is identical."""
    found, paper, pdf = made
    handout(lesson("---\ntitle: Between\n---\n```part A\n| x32010=C |\n```\n"))
    assert handout(found, paper=paper, musicxml=write_musicxml(found)) == pdf


@needs_poppler
def test_nothing_is_set_under_seven_points(made, tmp_path) -> None:
    """No word of the page has letters of less than 7 pt, by the fonts that pdftohtml lists."""
    _, _, pdf = made
    (tmp_path / "sized.pdf").write_bytes(pdf)
    command = ["pdftohtml", "-xml", "-i", "-stdout", "-zoom", "3", str(tmp_path / "sized.pdf")]
    xml = subprocess.run(command, capture_output=True, check=True)
    sizes = [int(size) for size in re.findall(r'<fontspec[^>]*size="(\d+)"', xml.stdout.decode())]
    assert sizes and min(sizes) >= 7 * 3


@needs_poppler
def test_no_heading_ends_a_page(made, tmp_path) -> None:
    """The last line of a page above its foot is never the name of a section or part."""
    found, _, pdf = made
    heads = {"Grips", "Chart", "Notes", "Notation and tab", *(part.name for part in found.parts)}
    for page in run("pdftotext", "-layout", pdf=pdf, folder=tmp_path).split("\f")[:-1]:
        rows = [line.strip() for line in page.splitlines() if line.strip()]
        assert len(rows) > 2 and rows[-2] not in heads


@needs_poppler
def test_no_system_stands_alone_on_the_last_page(tmp_path) -> None:
    """On letter paper the last two systems of this demo, the Coda, need a page: both go there."""
    found = demo(DEMO / "lamps-along-the-weir.md")
    pdf = handout(found, paper="letter", musicxml=write_musicxml(found))
    printed = words(pdf, tmp_path)
    last = max(word[0] for word in printed)
    assert "Coda" in {word[1] for word in printed if word[0] == last}


@needs_poppler
def test_pages_are_clean_at_their_edges(made, tmp_path) -> None:
    """Every page has ink, and none within 8 mm of the edge of the paper."""
    _, _, pdf = made
    for image in pictures(pdf, tmp_path):
        box = image.convert("L").point(lambda v: 255 if v < 200 else 0).getbbox()
        assert box is not None
        margin = 8 / 25.4 * 60
        assert box[0] > margin and box[1] > margin
        assert box[2] < image.width - margin and box[3] < image.height - margin


def pictures(pdf: bytes, folder: Path) -> list[Image.Image]:
    """Return the pages as images of 60 dpi."""
    (folder / "p.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", "60", "-png", str(folder / "p.pdf"), str(folder / "p")],
                   check=True)  # fmt: skip
    return [Image.open(path) for path in sorted(folder.glob("p-*.png"))]


@needs_poppler
def test_words_of_the_page_do_not_collide(made, tmp_path) -> None:
    """No two words of the text overlap by more than a third of the smaller one."""
    _, _, pdf = made
    printed = words(pdf, tmp_path)
    for page in {word[0] for word in printed}:
        boxes = [word for word in printed if word[0] == page and re.search(r"\w\w\w", word[1])]
        for index, one in enumerate(boxes):
            for other in boxes[index + 1 :]:
                assert overlap(one, other) < 0.34, (one, other)


def overlap(one: tuple, other: tuple) -> float:
    """Return the shared area of two words over the smaller area."""
    across = min(one[4], other[4]) - max(one[2], other[2])
    down = min(one[5], other[5]) - max(one[3], other[3])
    if across <= 0 or down <= 0:
        return 0.0
    areas = [(word[4] - word[2]) * (word[5] - word[3]) for word in (one, other)]
    return across * down / min(areas)


BARE = "---\ntitle: {title}\n{front}---\n\n{prose}\n\n```part Song\n| {bars} |\n```\n"


def text_of(found: Lesson, folder: Path, **options) -> str:
    """Return the text of a handout."""
    return run("pdftotext", pdf=handout(found, **options), folder=folder)


@needs_poppler
def test_a_lesson_is_never_read_as_markup(tmp_path) -> None:
    """Signs that a typesetter or a browser would obey are printed as they are."""
    evil = "#let x = 1 $y$ <b>z</b> \\u{1F} `#` @here <label> // no /* yes */ ~ \\[x\\] {{}}"
    page = text_of(lesson(BARE.format(title="A #1 & <i>", front="", prose=evil, bars="x32010=C")),
                   tmp_path)  # fmt: skip
    flat = re.sub(r"\s+", " ", page)
    assert "#let x = 1 $y$ <b>z</b>" in flat and "// no /* yes */" in flat and "A #1 & <i>" in flat


@needs_poppler
def test_a_pointer_shows_the_bar_of_its_chord(tmp_path) -> None:
    """A link to a label of the chart is followed by the part and the bar."""
    found = lesson(BARE.format(title="P", front="", prose="Hear [it](#lift) now.",
                               bars="x32010=C | x02210=Am@lift"))  # fmt: skip
    assert "it (Song, bar 2) now" in re.sub(r"\s+", " ", text_of(found, tmp_path))


@needs_poppler
@pytest.mark.parametrize(
    ("names", "symbol", "said"),
    [("shape", "G", "sounds B♭"), ("sound", "Bb", "shape of G"), ("sound", "Ebadd9", "shape of C")],
)
def test_a_capo_prints_both_names(names, symbol, said, tmp_path) -> None:
    """With the capo at 3 the shape of G sounds B flat: both are printed, the teacher's first."""
    front = f"capo: 3\nnames: {names}\n"
    grip = "x32030" if symbol.startswith("E") else "320003"
    found = lesson(BARE.format(title="C", front=front, prose="", bars=f"{grip}={symbol}"))
    flat = re.sub(r"\s+", " ", text_of(found, tmp_path))
    assert said in flat and "Capo at fret 3" in flat
    assert symbol[0] in flat.split("Chart")[1]


@needs_poppler
def test_scripts_and_signs_beyond_our_fonts_do_not_stop_the_page(tmp_path) -> None:
    """Greek and Cyrillic are set; what no font has is named in brackets."""
    found = lesson(BARE.format(title="Ω Жар", front="", prose="Play it \U0001f3b8 now",
                               bars="x32010=C"))  # fmt: skip
    flat = re.sub(r"\s+", " ", text_of(found, tmp_path))
    assert "Ω Жар" in flat and ("[guitar]" in flat or "\U0001f3b8" in flat)


@pytest.mark.parametrize("strings", [4, 5, 7, 8])
def test_other_instruments_get_their_page(strings: int) -> None:
    """Four to eight strings fit the grid; the typesetter warns of nothing."""
    names = ["F#1", "B1", "E2", "A2", "D3", "G3", "B3", "E4"][8 - strings :]
    grip = "x" + "2" * (strings - 1)
    front = f"tuning: {' '.join(names)}\n"
    page = handout(
        lesson(BARE.format(title="S", front=front, prose="", bars=f"{grip}=A | {grip}=A"))
    )
    assert page.startswith(b"%PDF-1.7")


@needs_poppler
def test_a_long_lesson_breaks_into_pages(tmp_path) -> None:
    """Forty grips, a long title, 7/8: all names are there, in order of setting out."""
    names = [f"{root}{quality}" for quality in ("m7", "7", "maj7", "m7(b5)")
             for root in ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A"]]  # fmt: skip
    rows = "\n".join(
        f"{name}  x{3 + i % 5}{5 - i % 2}{3 + i % 3}4x" for i, name in enumerate(names)
    )
    chart = "\n".join("| " + " | ".join(names[i : i + 4]) + " |" for i in range(0, 40, 4))
    text = (f"---\ntitle: {'A long title ' * 8}\nmetre: 7/8 = 2+2+3\n---\n\n```grips\n{rows}\n```\n"
            f"\n```part Whole\n{chart}\n```\n")  # fmt: skip
    flat = re.sub(r"\s", "", text_of(lesson(text), tmp_path))
    printed = [name.replace("b", "♭").replace("#", "♯") for name in names]
    assert len(printed) == 40 and not [name for name in printed if name not in flat]


@needs_poppler
def test_repeats_endings_and_pushes_are_explained(tmp_path) -> None:
    """Endings are numbered, a repeat of three says so, a push has its arrow and its words."""
    bars = ("(repeat) x32010=C | <x02210=Am _ x32010=C _ | (1st) x32010=C (x2) | (2nd) x02210=Am |"
            " (repeat) x32010=C | x02210=Am (x3)")  # fmt: skip
    flat = re.sub(r"\s+", " ", text_of(lesson(BARE.format(title="R", front="", prose="",
                                                          bars=bars)), tmp_path))  # fmt: skip
    assert "1." in flat and "2." in flat and "×3" in flat
    assert "←" in flat and "arrives early" in flat


def test_a_page_that_cannot_be_set_is_a_build_error() -> None:
    """What the template misses is refused with the typesetter's reason."""
    found = lesson(BARE.format(title="X", front="", prose="", bars="x32010=C"))
    data = handout_data(found, "a4", None, Style())
    with pytest.raises(BuildError, match="cannot be set"):
        typeset("handout.typ", {key: value for key, value in data.items() if key != "facts"})


@pytest.mark.parametrize("style", [Style(show="fingers"), Style(show="degrees", hand="pencil"),
                                   Style(left_handed=True)])  # fmt: skip
def test_every_style_makes_a_page_of_its_own(style: Style) -> None:
    """Another style is another picture of the same lesson."""
    found = demo(DEMOS[0])
    assert handout(found, style=style) != handout(found)
