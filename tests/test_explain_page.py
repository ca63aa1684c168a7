"""What people read of an explanation: the order of what is said, and what is left out."""

from __future__ import annotations

import click

from gripwright.cli.explain_page import page
from gripwright.harmony.changes import read_changes
from gripwright.harmony.explain import explain_changes
from gripwright.theory.scale import parse_key


def read(text: str, key: str) -> str:
    """Return the page of changes on one line."""
    told = explain_changes(read_changes(text), parse_key(key))
    return " ".join(click.unstyle(page(told)).split())


def test_what_a_chord_does_is_said_before_its_notes() -> None:
    """The plagal move, then what is borrowed; that it is of the key comes last."""
    told = explain_changes(read_changes("C F | Fm C"), parse_key("C major")).chords
    assert [remark.kind for remark in told[2].remarks] == ["minor-plagal", "borrowed"]
    assert told[1].remarks[-1].kind == "diatonic"


def test_an_augmented_sixth_opens_out_on_the_page() -> None:
    """Both its half steps are told, though they meet on one note."""
    told = read("C Ab7 C/G G7 C", "C major")
    assert "A♭ (1) falls a half step to G (5), F♯ (♯6) rises a half step to G (5)" in told


def test_no_other_voices_meet_on_the_page() -> None:
    """Of two that come to one note by other steps the first is told."""
    assert "D (♭7) falls a whole step to C (♭3)" not in read("E7 Am", "A minor")


def test_a_shape_that_moves_says_all_of_its_voices() -> None:
    """What each of them does is not told beside it."""
    told = read("5x555x 3x333x", "A minor")
    assert "The same shape moves down 2 frets." in told and "To Gm7" not in told
