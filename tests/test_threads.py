"""Threads and minimal voice leading."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.harmony.facts import facts_of
from gripwright.harmony.leading import least_motion, step
from gripwright.harmony.threads import threads_between, threads_between_grips
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import STANDARD_NECK
from gripwright.theory.symbol import parse_symbol

CMAJ7, EMAJ7 = (0, 4, 7, 11), (3, 4, 8, 11)
sets = st.sets(st.integers(0, 11), min_size=2, max_size=3).map(lambda s: tuple(sorted(s)))


def told(one: str, two: str) -> list[str]:
    """Return the sentences between two symbols."""
    pair = [facts_of(parse_symbol(name)) for name in (one, two)]
    return [thread.text for thread in threads_between(*pair)]


def brute(here: tuple[int, ...], there: tuple[int, ...]) -> int:
    """Return the least total motion over every set of pairs that leaves no note out."""
    pairs = [(a, b) for a in here for b in there]
    sizes = [
        sum(abs(step(a, b)) for a, b in chosen)
        for count in range(1, len(here) + len(there))
        for chosen in combinations(pairs, count)
        if {a for a, _ in chosen} == set(here) and {b for _, b in chosen} == set(there)
    ]
    return min(sizes)


def test_the_published_size_with_a_doubled_voice() -> None:
    """Cmaj7 to Emaj7 has size 3 (Tymoczko, Science 313, 2006)."""
    assert least_motion(CMAJ7, EMAJ7)[0] == 3


def test_the_published_size_one_to_one() -> None:
    """And 4 where every voice has one partner (same source)."""
    assert least_motion(CMAJ7, EMAJ7, doubling=False)[0] == 4


@settings(max_examples=60, deadline=None)
@given(sets, sets)
def test_no_leading_is_smaller(here: tuple[int, ...], there: tuple[int, ...]) -> None:
    """The search agrees with trying everything, and its pairs add up to its size."""
    size, pairs = least_motion(here, there)
    assert size == brute(here, there) == sum(abs(step(a, b)) for a, b in set(pairs))
    assert {a for a, _ in pairs} == set(here) and {b for _, b in pairs} == set(there)


@given(sets, sets, st.integers(1, 11))
@settings(max_examples=40, deadline=None)
def test_transposition_changes_no_size(
    here: tuple[int, ...], there: tuple[int, ...], shift: int
) -> None:
    """Both chords higher by the same: the same motion, and as much back as there."""
    up = [tuple(sorted((pc + shift) % 12 for pc in chord)) for chord in (here, there)]
    assert least_motion(*up)[0] == least_motion(here, there)[0] == least_motion(there, here)[0]


def test_degrees_are_told_on_both_sides() -> None:
    """The sentence of the design."""
    sentence = "A♭, the ♭9 of G7(♭9), falls a half step to G, the 5 of Cmaj7"
    assert sentence in told("G7(b9)", "Cmaj7")


def test_common_tones_come_first() -> None:
    """C to Am keeps two notes."""
    texts = told("C", "Am")
    assert texts == [
        "C, the root of C, stays as the ♭3 of Am",
        "E, the 3 of C, stays as the 5 of Am",
    ]


def test_an_enharmonic_common_tone_names_both() -> None:
    """A flat becomes G sharp."""
    assert "A♭, the ♭3 of Fm, stays as G♯, the 3 of E" in told("Fm", "E")


def test_grips_are_followed_in_register() -> None:
    """Bass to bass and top to top, strings where they sound in both."""
    pair = [(parse_symbol(n), parse_grip(g)) for n, g in (("Dm7", "x5756x"), ("G7", "3x343x"))]
    threads = threads_between_grips(*pair, STANDARD_NECK)
    assert next(thread.voice for thread in threads) == "bass"
    assert threads[0].text == "D, the root of Dm7, falls a fifth to G, the root of G7"
    assert threads[-1].voice == "top" and threads[-1].motion == -3
    assert any(t.voice == "string 3" and t.kind == "half step" for t in threads)


@pytest.mark.parametrize(
    "grips", [("x32010", "133211"), ("320003", "xx0232"), ("x02220", "x5565x")]
)
def test_a_thread_moves_as_far_as_the_strings_do(grips: tuple[str, str]) -> None:
    """Every motion told is the difference of two notes that sound."""
    symbols = {"x32010": "C", "133211": "F", "320003": "G", "xx0232": "D", "x02220": "A",
               "x5565x": "D9"}  # fmt: skip
    pair = [(parse_symbol(symbols[g]), parse_grip(g)) for g in grips]
    sounding = [
        {STANDARD_NECK.midi(i, f) for i, f in enumerate(grip.frets) if f is not None}
        for _, grip in pair
    ]
    threads = threads_between_grips(*pair, STANDARD_NECK)
    assert threads
    for thread in threads:
        assert any(low + thread.motion in sounding[1] for low in sounding[0])


def test_a_foreign_bass_has_a_thread_too() -> None:
    """C over B: the bass falls on to the root of A minor by a whole step, and C stays."""
    assert "C, the root of C/B, stays as the ♭3 of Am" in told("C/B", "Am")
