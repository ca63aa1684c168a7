"""Grip diagrams: read back as XML, and as pixels."""

import io
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from gripwright.draw.diagram import diagram
from gripwright.draw.frame import frame_of
from gripwright.draw.measures import WEIGHTS
from gripwright.draw.raster import png
from gripwright.errors import GripError
from gripwright.harmony.tones import tones_under
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.hand import finger
from gripwright.neck.tuning import STANDARD, STANDARD_NECK, make_neck, parse_tuning
from gripwright.theory.symbol import parse_symbol

SVG = "{http://www.w3.org/2000/svg}"


def marks(svg: str, kind: str = "mark") -> dict[int, tuple[int | None, float, float]]:
    """Return string -> (fret, x, y) of the marks of a kind."""
    found = {}
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        if group.get("class") == kind:
            x, y = group.get("transform", "")[10:-1].split()
            fret = group.get("data-fret")
            found[int(group.get("data-string", "0"))] = (
                None if fret is None else int(fret), float(x), float(y))  # fmt: skip
    return found


def lines(svg: str) -> tuple[list[float], list[float]]:
    """Return the x of strings and the y of frets, as drawn by the plain hand."""
    neck = next(g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "neck")
    strings, frets = set(), set()
    for line in neck:
        ends = [float(line.get(name, "0")) for name in ("x1", "y1", "x2", "y2")]
        if ends[0] == ends[2]:
            strings.add(ends[0])
        elif float(line.get("stroke-width", "0")) < 0.5:
            frets.add(ends[1])
    return sorted(strings), sorted(frets)


def test_dots_stand_on_their_strings_between_their_frets() -> None:
    """x32010: strings 5, 4 and 2 at frets 3, 2 and 1; 6 is crossed, 3 and 1 are open."""
    svg = diagram(parse_grip("x32010"), STANDARD_NECK)
    strings, frets = lines(svg)
    found = marks(svg)
    assert {string: fret for string, (fret, _, _) in found.items()} == {5: 3, 4: 2, 2: 1}
    for string, (fret, x, y) in found.items():
        assert x == pytest.approx(strings[6 - string], abs=0.01)
        assert frets[fret - 1] < y < frets[fret]
    assert set(marks(svg, "open")) == {3, 1} and set(marks(svg, "mute")) == {6}


def test_left_handed_mirrors_strings_and_not_text() -> None:
    """Mirrored about the middle string by string; the fingers' texts are not flipped."""
    grip, held = parse_grip("x32010"), (None, "3", "2", None, "1", None)
    right = diagram(grip, STANDARD_NECK, fingers=held)
    left = diagram(grip, STANDARD_NECK, fingers=held, left_handed=True)
    middle = sum(lines(right)[0]) / 6
    for string, (fret, x, y) in marks(right).items():
        assert marks(left)[string] == (fret, pytest.approx(2 * middle - x, abs=0.01), y)
    assert "scale(-1" not in left


@pytest.mark.parametrize(
    ("grip", "first", "count"),
    [("x32010", 1, 4), ("x02450", 1, 5), ("133211", 1, 4), ("355433", 3, 4),
     ("x-10-12-11-12-x", 10, 4),
     ("xx5432", 2, 4), ("x15xxx", 1, 5), ("1-x-x-x-x-9", 1, 9), ("000000", 1, 4),
     ("x-x-24-x-x-x", 24, 4)],
)  # fmt: skip
def test_the_window_holds_the_grip(grip: str, first: int, count: int) -> None:
    """Four frets, or the span; at the nut where the grip reaches no further than it."""
    frame = frame_of(parse_grip(grip), STANDARD_NECK)
    assert (frame.first, frame.count) == (first, count)


def test_the_position_stands_beside_the_first_fret() -> None:
    """Away from the nut the number of the first fret is printed, at the nut it is not."""
    assert ">10<" in diagram(parse_grip("x-10-12-11-12-x"), STANDARD_NECK)
    assert 'class="position"' not in diagram(parse_grip("x32010"), STANDARD_NECK)


def test_a_finger_on_several_strings_is_a_barre() -> None:
    """The barre lies at its fret under all strings that its finger holds."""
    svg = diagram(parse_grip("133211"), STANDARD_NECK, fingers=tuple("134211"))
    bar = next(g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "barre")
    ends = (float(bar[0].get("x1", "")), float(bar[0].get("x2", "")))
    strings = lines(svg)[0]
    assert ends == (pytest.approx(strings[0]), pytest.approx(strings[-1]))
    assert float(bar[0].get("y1", "")) == pytest.approx(marks(svg)[6][2], abs=0.01)


def test_barres_of_a_found_fingering_are_drawn() -> None:
    """The barres that the hand model finds lie where it says, whatever fingers are shown."""
    grip = parse_grip("x24442")
    found = finger(grip, STANDARD_NECK)
    assert found.barres
    svg = diagram(grip, STANDARD_NECK, barres=found.barres)
    bars = [g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "barre"]
    strings = lines(svg)[0]
    assert [(int(g.get("data-fret", "")), float(g[0].get("x1", "")), float(g[0].get("x2", "")))
            for g in bars] == [
        (b.fret, strings[6 - b.from_string], strings[6 - b.to_string]) for b in found.barres
    ]  # fmt: skip


def test_fingers_and_thumb_are_written_in_the_dots() -> None:
    """The texts of the fingers are those given, T for the thumb."""
    svg = diagram(parse_grip("2x0232"), STANDARD_NECK, fingers=("T", None, None, "1", "3", "2"))
    texts = [t.text for t in ElementTree.fromstring(svg).iter(f"{SVG}text")
             if t.get("class") == "finger"]  # fmt: skip
    assert texts == ["T", "1", "3", "2"]


def test_degrees_stand_beneath_their_strings() -> None:
    """C7(♯9) as x3234x: 1 3 ♭7 ♯9 under strings 5 to 2, the ♯9 a triangle with two outlines."""
    grip, symbol = parse_grip("x3234x"), parse_symbol("C7(#9)")
    svg = diagram(grip, STANDARD_NECK, tones=tones_under(symbol, grip, STANDARD_NECK))
    texts = {float(t.get("x", "")): t.text for t in ElementTree.fromstring(svg).iter(f"{SVG}text")
             if t.get("class") == "degree"}  # fmt: skip
    strings = lines(svg)[0]
    assert [texts[x] for x in strings[1:5]] == ["1", "3", "♭7", "♯9"]
    mark = next(g for g in ElementTree.fromstring(svg).iter(f"{SVG}g")
                if g.get("class") == "mark" and g.get("data-string") == "2")  # fmt: skip
    assert [shape.tag.removeprefix(SVG) for shape in mark] == ["polygon", "polygon"]


def test_the_symbol_is_set_in_runs_with_real_accidentals() -> None:
    """The root stands at full size, the quality raised and at two thirds."""
    svg = diagram(parse_grip("4x554x"), STANDARD_NECK, symbol=parse_symbol("Abmaj7"))
    root, quality = next(t for t in ElementTree.fromstring(svg).iter(f"{SVG}text")
                         if t.get("class") == "symbol")  # fmt: skip
    assert (root.text, quality.text) == ("A♭", "maj7")
    assert float(quality.get("font-size", "")) == pytest.approx(WEIGHTS["page"].name * 0.66)
    assert float(quality.get("dy", "")) < 0


def test_a_diagram_says_itself_in_words() -> None:
    """Title and description are there for who cannot see it."""
    root = ElementTree.fromstring(
        diagram(parse_grip("x02210"), STANDARD_NECK, symbol=parse_symbol("Am"))
    )
    assert root.findtext(f"{SVG}title") == "Am"
    assert "string 2 fret 1" in (root.findtext(f"{SVG}desc") or "")


def test_a_partial_capo_is_drawn_where_it_is() -> None:
    """Frets of a stopped string are drawn from the nut: x02220 with stops 2 on strings 5 to 3."""
    neck = make_neck(STANDARD, (0, 2, 2, 2, 0, 0))
    svg = diagram(parse_grip("x00010"), neck)
    assert {s: f for s, (f, _, _) in marks(svg, "open").items()} == {5: 2, 4: 2, 3: 2, 1: 0}
    assert 'class="capo" data-fret="2"' in svg


def test_a_full_capo_is_named() -> None:
    """The capo stands in the nut's place, with its fret."""
    svg = diagram(parse_grip("x02210"), make_neck(STANDARD, 3))
    assert ">capo<" in svg and ">3<" in svg


def test_other_numbers_of_strings() -> None:
    """Four and eight strings are drawn; a grip of another number is refused."""
    four = make_neck(parse_tuning("G4 C4 E4 A4"))
    assert len(lines(diagram(parse_grip("0003"), four))[0]) == 4
    eight = make_neck(parse_tuning("F#1 B1 E2 A2 D3 G3 B3 E4"))
    assert len(lines(diagram(parse_grip("x2244322"), eight))[0]) == 8
    with pytest.raises(GripError, match="6 places, this tuning has 4"):
        diagram(parse_grip("x32010"), four)


@pytest.mark.parametrize("weight", ["page", "large", "small"])
@pytest.mark.parametrize("hand", ["plain", "pencil"])
@pytest.mark.parametrize("dark", [False, True])
def test_every_weight_and_hand_repeats_and_is_not_blank(weight, hand, dark) -> None:
    """The same bytes twice, and ink on the page."""
    options = {"fingers": tuple("134211"), "symbol": parse_symbol("F"), "weight": weight,
               "hand": hand, "dark": dark}  # fmt: skip
    one = diagram(parse_grip("133211"), STANDARD_NECK, **options)
    assert one == diagram(parse_grip("133211"), STANDARD_NECK, **options)
    image = Image.open(io.BytesIO(png(one, 200))).convert("RGBA")
    covered = sum(1 for alpha in image.getchannel("A").tobytes() if alpha > 40)
    assert 0.03 < covered / (image.width * image.height) < 0.6


def test_the_pencil_wobbles_but_keeps_its_places() -> None:
    """The pencil draws other strokes than the engraver, with the marks at the same places."""
    plain = diagram(parse_grip("x32010"), STANDARD_NECK)
    pencil = diagram(parse_grip("x32010"), STANDARD_NECK, hand="pencil")
    assert marks(plain) == marks(pencil)
    assert "<circle" not in pencil and "Gripwright Hand" in diagram(
        parse_grip("x32010"),
        STANDARD_NECK,
        hand="pencil",
        fingers=(None, "3", "2", None, "1", None),
    )


def test_letters_are_never_under_seven_points_on_paper() -> None:
    """Every text of a page diagram is set at 7 pt or more."""
    grip, symbol = parse_grip("x3234x"), parse_symbol("C7(#9)")
    svg = diagram(grip, STANDARD_NECK, fingers=(None, "2", "1", "3", "4", None), symbol=symbol,
                  tones=tones_under(symbol, grip, STANDARD_NECK))  # fmt: skip
    sizes = [float(node.get("font-size", "99")) for node in ElementTree.fromstring(svg).iter()
             if node.get("font-size")]  # fmt: skip
    assert min(sizes) * 72 / 25.4 >= 7.0


FRETS = st.lists(st.one_of(st.none(), st.integers(0, 24)), min_size=6, max_size=6)


@settings(max_examples=60, deadline=None)
@given(FRETS, st.booleans())
def test_any_grip_is_drawn_inside_its_box(frets: list, left: bool) -> None:
    """Every string has its sign, and no mark leaves the drawing."""
    svg = diagram(Grip(tuple(frets)), STANDARD_NECK, left_handed=left)
    root = ElementTree.fromstring(svg)
    wide, high = map(float, root.get("viewBox", "").split()[2:])
    found = [marks(svg, kind) for kind in ("mark", "open", "mute")]
    assert sorted(string for group in found for string in group) == [1, 2, 3, 4, 5, 6]
    reach = WEIGHTS["page"].spacing * WEIGHTS["page"].mark / 2
    for _, x, y in (place for group in found for place in group.values()):
        assert reach <= x <= wide - reach and 0 < y < high
