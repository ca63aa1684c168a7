"""What prose and captions call otherwise than the chart does."""

from __future__ import annotations

import pytest

from gripwright.formats.captions import Caption
from gripwright.lesson.text import parse
from gripwright.proof.registry import Evidence, Finding, check

CHART = "\n\n```part A\n| Dm9 _ G13@lift _ | Cmaj7 |\n```\n"


def said(prose: str, *captions: str) -> list[Finding]:
    """Return what is found in a text beside a chart of Dm9 G13 Cmaj7."""
    text = f"---\ntitle: T\n---\n\n{prose}{CHART}"
    assert parse(text).problems == ()
    cues = tuple(Caption(62.0, 64.0, line, 7) for line in captions)
    found = check(Evidence(parse(text), text, captions=cues))
    return [finding for finding in found if finding.rule == "said-otherwise"]


def test_a_root_of_the_chart_with_another_third_is_told() -> None:
    """At the place in the prose, with what the chart has."""
    (finding,) = said("Now D7 comes.")
    assert (finding.line, finding.column, finding.severity) == (5, 5, "doubtful")
    assert finding.message == "the text says D7, the chart has Dm9"


@pytest.mark.parametrize(
    "prose",
    [
        "Now D minor seven comes.",
        "Then G7 flat nine, or so.",
        "This is not D7.",
        "Instead of C7 there is peace.",
        "E flat seven is far away.",
        "Em7 holds the same notes.",
        "In D minor all is well.",
        "`D7`",
        "    D7 in a quoted file",
    ],
)
def test_what_may_well_be_true_is_left_alone(prose: str) -> None:
    """A simpler name, another tension, a denial, a root that the chart has not."""
    assert said(prose) == []


def test_a_link_is_held_against_the_chord_it_points_at() -> None:
    """Its text names the chord of the label, or it is told."""
    assert said("Hear [G13](#lift).") == []
    (finding,) = said("Hear [D minor nine](#lift).")
    assert finding.message == "the text says D minor nine and points at G13"


def test_captions_are_held_against_the_chart() -> None:
    """With the time of the cue and its line in the captions."""
    (finding,) = said("", "and now C dominant seven", "then C major seven")
    assert finding.message == (
        "the caption at 1:02 (line 7) says C dominant seven, the chart has Cmaj7"
    )
