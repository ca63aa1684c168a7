"""Right-hand patterns as strips, read back as XML and in words."""

from fractions import Fraction
from xml.etree import ElementTree

from gripwright.beats import parse_metre
from gripwright.draw.strip import EDGE_MM, WIDTH_MM, pattern_in_words, strip
from gripwright.lesson.model import Pattern, Stroke

SVG = "{http://www.w3.org/2000/svg}"
HALF = Fraction(1, 2)


def pattern() -> Pattern:
    """Return thumb, fingers, an accented down stroke and a ghost up stroke, a beat each."""
    strokes = (
        Stroke(Fraction(0), Fraction(1), "pluck", fingers=("p",)),
        Stroke(Fraction(1), Fraction(1), "pluck", fingers=("i", "m", "a")),
        Stroke(Fraction(2), Fraction(1), "down", accent=True),
        Stroke(Fraction(7, 2), HALF, "up", ghost=True),
    )
    return Pattern("walk", Fraction(4), strokes)


def texts(svg: str) -> list[tuple[str, float, float]]:
    """Return the texts with their places."""
    return [
        (node.text or "", float(node.get("x", "")), float(node.get("y", "")))
        for node in ElementTree.fromstring(svg).iter(f"{SVG}text")
    ]


def test_strokes_stand_over_their_beats() -> None:
    """The thumb is over beat 1 and the fingers over beat 2, a quarter of the way along."""
    places = {text: x for text, x, _ in texts(strip(pattern(), parse_metre("4/4")))}
    along = WIDTH_MM - 2 * EDGE_MM
    assert places["p"] == places["1"] == EDGE_MM
    assert abs(places["i"] - (EDGE_MM + along / 4)) < 0.01
    assert places["i"] == places["m"] == places["a"] == places["2"]


def test_letters_are_stacked_as_the_strings_lie() -> None:
    """The ring finger plays the highest string and stands on top, the thumb lowest."""
    heights = {text: y for text, _, y in texts(strip(pattern(), parse_metre("4/4")))}
    assert heights["a"] < heights["m"] < heights["i"] < heights["p"]


def test_beats_follow_the_metre() -> None:
    """7/8 in 2+2+3 has three beats, the third after four eighths."""
    seven = Pattern("seven", Fraction(7, 2), pattern().strokes[:1])
    places = {text: x for text, x, _ in texts(strip(seven, parse_metre("7/8 = 2+2+3")))}
    assert set(places) == {"p", "1", "2", "3"}
    assert abs(places["3"] - (EDGE_MM + (WIDTH_MM - 2 * EDGE_MM) * 4 / 7)) < 0.01


def test_a_pattern_says_itself_in_words() -> None:
    """Fingers by name, accents and ghosts, each at its beat."""
    assert pattern_in_words(pattern(), parse_metre("4/4")) == (
        "beat 1: thumb; beat 2: index and middle and ring finger; beat 3: accented down; "
        "beat 4 and 1/2: ghost up"
    )


def test_the_same_pattern_gives_the_same_bytes() -> None:
    """Nothing but the arguments decides."""
    assert strip(pattern(), parse_metre("4/4")) == strip(pattern(), parse_metre("4/4"))
