"""Qualities: degrees, and the way back from degrees to a quality."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.theory.interval import Degree, degrees
from gripwright.theory.quality import BASES, Quality, quality_of
from gripwright.theory.quality_text import quality_text, read_quality

FIFTHS = [degrees(text) for text in ("", "5", "b5", "#5", "b5 #5")]
NINTHS = [degrees(text) for text in ("", "9", "b9", "#9", "b9 #9")]
UPPER = [degrees(text) for text in ("", "b7", "b7 13", "b7 b13", "7", "7 13", "6")]
ELEVENTHS = [degrees(text) for text in ("", "11", "#11")]
parts = st.tuples(
    st.sampled_from(degrees("3 b3 4")).map(lambda degree: (degree,)),
    st.sampled_from(FIFTHS),
    st.sampled_from(NINTHS),
    st.sampled_from(UPPER),
    st.sampled_from(ELEVENTHS),
)


@pytest.mark.parametrize("base", BASES)
def test_every_base_comes_back_from_its_degrees(base: str) -> None:
    """The shortest quality of a base's degrees is the base."""
    assert quality_of(Quality(base).degrees) == Quality(base)


@settings(max_examples=200)
@given(parts)
def test_a_quality_claims_what_it_was_made_from(chosen: tuple[tuple[Degree, ...], ...]) -> None:
    """Whatever quality comes back claims exactly the degrees asked for, and reads back."""
    content = frozenset(degrees("1")).union(*chosen)
    quality = quality_of(content)
    assert quality is not None
    assert frozenset(quality.degrees) == content
    assert frozenset(read_quality(quality_text(quality)).degrees) == content


def test_two_sevenths_are_no_quality() -> None:
    """A chord has one seventh; only a diminished seventh takes a major one on top."""
    assert quality_of(degrees("1 3 5 b7 7")) is None
    assert quality_of(degrees("1 b3 b5 bb7 7")) == Quality("dim7", adds=degrees("7"))


@pytest.mark.parametrize(
    ("quality", "third"), [("", "major"), ("m7", "minor"), ("9sus4", "sus"), ("5", "none")]
)
def test_the_third_tells_the_family(quality: str, third: str) -> None:
    """Major, minor, suspended or none."""
    assert Quality(quality).third == third
