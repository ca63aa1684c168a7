"""The look: contrast by WCAG 2.2, the interval code by shape before colour, our fonts."""

import itertools

import pytest

from gripwright.draw.look import (
    DARK,
    LIGHT,
    PRINT,
    SHAPES,
    Palette,
    altered,
    contrast,
    family,
)
from gripwright.draw.type import FONT_FOLDER, covers, width
from gripwright.theory.interval import parse_degree

GROUNDS = pytest.mark.parametrize("colours", [LIGHT, DARK, PRINT])
# Dichromacy simulated on linear RGB at full severity: Machado, Oliveira, Fernandes, IEEE TVCG
# 15(6), 2009 (from memory; each row adds up to 1, which keeps greys grey).
DICHROMACY = {
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216),
                   (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413),
                     (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602),
                   (0.004733, 0.691367, 0.303900)),
}  # fmt: skip


def seen(colour: str, kind: str) -> str:
    """Return the colour as a dichromat sees it."""
    linear = [
        v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4
        for v in (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    ]
    out = "#"
    for row in DICHROMACY[kind]:
        value = min(1.0, max(0.0, sum(a * b for a, b in zip(row, linear, strict=True))))
        share = 12.92 * value if value <= 0.0031308 else 1.055 * value ** (1 / 2.4) - 0.055
        out += f"{round(share * 255):02X}"
    return out


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("#FFFFFF", "#000000", 21.0), ("#777777", "#FFFFFF", 4.48), ("#767676", "#FFFFFF", 4.54)],
)
def test_contrast_is_that_of_wcag(one: str, other: str, ratio: float) -> None:
    """Known ratios come out: the grey #767676 is the usual example just above 4.5."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@GROUNDS
def test_text_and_signs_are_legible(colours: Palette) -> None:
    """Text meets 4.5:1 on its ground (WCAG 2.2, 1.4.3); degrees are text, so families too."""
    text = [colours.ink, colours.quiet, colours.accent, *dict(colours.families).values()]
    assert min(contrast(colour, colours.paper) for colour in text) >= 4.5


@GROUNDS
@pytest.mark.parametrize("kind", DICHROMACY)
def test_signs_stay_legible_to_dichromats(colours: Palette, kind: str) -> None:
    """Every family keeps 4.5:1 on its ground as a dichromat sees both."""
    for colour in dict(colours.families).values():
        assert contrast(seen(colour, kind), seen(colours.paper, kind)) >= 4.5


def test_every_family_has_a_shape_of_its_own() -> None:
    """The code is told by shape before colour, so no two families share one."""
    assert len(set(SHAPES.values())) == len(SHAPES) == 5


def test_families_differ_in_colour_to_full_colour_vision() -> None:
    """Any two families of a ground are at least 40 apart in 8-bit RGB."""
    for colours in (LIGHT, DARK):
        values = [tuple(int(c[i : i + 2], 16) for i in (1, 3, 5))
                  for c in dict(colours.families).values()]  # fmt: skip
        for one, other in itertools.combinations(values, 2):
            assert sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5 >= 40


@pytest.mark.parametrize(
    ("degree", "shape", "double"),
    [("1", "square", False), ("b3", "disc", False), ("4", "disc", False), ("2", "disc", False),
     ("5", "ring", False), ("b5", "ring", True), ("#5", "ring", True), ("6", "diamond", False),
     ("b7", "diamond", False), ("bb7", "diamond", False), ("9", "triangle", False),
     ("b9", "triangle", True), ("#9", "triangle", True), ("11", "triangle", False),
     ("#11", "triangle", True), ("13", "triangle", False), ("b13", "triangle", True)],
)  # fmt: skip
def test_degrees_have_the_marks_of_the_code(degree: str, shape: str, double: bool) -> None:
    """Family by shape; only an altered fifth or tension has the double outline."""
    value = parse_degree(degree)
    assert (SHAPES[family(value)], altered(value)) == (shape, double)


def test_fonts_have_what_music_and_europe_need() -> None:
    """Our faces carry accidentals, Latin, Greek and Cyrillic; other scripts they do not."""
    assert covers("A♭ F♯ G♮ ° ø Δ – “” ’ ← × é ř ő Ω Ж")
    assert not covers("曲")


def test_font_files_are_small_and_licensed() -> None:
    """All fonts together stay under 1.5 MB, with their licence and no reserved name in them."""
    faces = sorted(FONT_FOLDER.glob("*.ttf"))
    assert len(faces) == 6
    assert sum(face.stat().st_size for face in faces) < 1_500_000
    assert "SIL OPEN FONT LICENSE" in (FONT_FOLDER / "OFL.txt").read_text(encoding="utf-8")
    assert all(face.name.startswith("Gripwright") for face in faces)


def test_width_is_the_sum_of_advances() -> None:
    """Tabular figures set equally wide, and size scales the width."""
    assert width("11", 10) == width("47", 10) == pytest.approx(2 * width("0", 10))
    assert width("Cmaj", 20) == pytest.approx(2 * width("Cmaj", 10))
