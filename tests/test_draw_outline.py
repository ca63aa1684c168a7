"""Letters as shapes: the same picture with no font at hand."""

import io
from xml.etree import ElementTree

import pytest
from PIL import Image, ImageChops

from gripwright.draw.diagram import diagram
from gripwright.draw.outline import outlined
from gripwright.draw.raster import png
from gripwright.harmony.tones import tones_under
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import STANDARD_NECK
from gripwright.theory.symbol import parse_symbol

SVG = "{http://www.w3.org/2000/svg}"


def drawing(hand: str = "plain") -> str:
    """Return a diagram with a symbol, fingers, degrees and a position."""
    grip, symbol = parse_grip("x8789x"), parse_symbol("F7(#9)/Bb")
    return diagram(grip, STANDARD_NECK, symbol=symbol, hand=hand,
                   fingers=(None, "2", "1", "3", "4", None),
                   tones=tones_under(symbol, grip, STANDARD_NECK))  # fmt: skip


@pytest.mark.parametrize("hand", ["plain", "pencil"])
def test_outlines_look_like_the_text(hand: str) -> None:
    """Rendered, both differ by less than 1 in 100 of the full range, averaged (kerning moves)."""
    one, other = (Image.open(io.BytesIO(png(svg, 600, ground="#FFFFFF"))).convert("L")
                  for svg in (drawing(hand), outlined(drawing(hand))))  # fmt: skip
    histogram = ImageChops.difference(one, other).histogram()
    mean = sum(value * count for value, count in enumerate(histogram)) / sum(histogram)
    assert mean < 2.55


def test_no_text_is_left_and_its_words_stay() -> None:
    """Every text became a labelled group; title and description are untouched."""
    svg = outlined(drawing())
    root = ElementTree.fromstring(svg)
    assert not list(root.iter(f"{SVG}text"))
    labels = [group.get("aria-label") for group in root.iter(f"{SVG}g")]
    assert "F7(♯9)/B♭" in labels and "♯9" in labels and "7" in labels
    assert root.findtext(f"{SVG}title") == "F7(♯9)/B♭"


def test_a_sign_without_a_shape_stays_text() -> None:
    """A letter that the table lacks is left to the reader's fonts."""
    svg = f'<svg xmlns="{SVG[1:-1]}"><text x="1" y="1" font-size="3">Ж</text></svg>'
    assert "Ж</text>" in outlined(svg)
