"""Threads and minimal voice leading."""

from __future__ import annotations

from itertools import combinations, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.harmony.facts import facts_of
from gripwright.harmony.leading import least_motion, step
from gripwright.harmony.threads import threads_between, threads_between_grips
from gripwright.harmony.tones import Tone, tones_under
from gripwright.harmony.voices import paired
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.tuning import STANDARD_NECK
from gripwright.theory.interval import note_at
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
    voices = {thread.voice: thread for thread in threads}
    assert voices["bass"].text == "D, the root of Dm7, falls a fifth to G, the root of G7"
    assert voices["top"].motion == -3
    assert voices["string 3"].kind == "half step"


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


def test_guide_tones_come_first() -> None:
    """Thirds and sevenths by half step, then those that stay, then what else stays."""
    assert told("Dm7", "G7") == [
        "C, the ♭7 of Dm7, falls a half step to B, the 3 of G7",
        "F, the ♭3 of Dm7, stays as the ♭7 of G7",
        "D, the root of Dm7, stays as the 5 of G7",
    ]


def test_guide_tones_are_followed_where_both_go_on_by_step() -> None:
    """F major seven to D minor nine keeps E, which is no seventh that rises to F."""
    assert not any("rises a half step to F" in text for text in told("Fmaj7", "Dm9"))


def test_a_guide_tone_that_moves_a_whole_step_is_told() -> None:
    """G, the seventh of A7, goes to F, the third of D minor; no other whole step is told."""
    threads = threads_between(*[facts_of(parse_symbol(name)) for name in ("A7", "Dm7")])
    whole = [thread for thread in threads if thread.kind == "whole step"]
    assert [(t.here[0].name, t.there[0].name, t.guide) for t in whole] == [("G", "F", True)]


@pytest.mark.parametrize("after", ["G", "Cm/G"])
def test_an_augmented_sixth_is_spelled_where_it_opens_out(after: str) -> None:
    """The seventh of A flat seven rises, so it is F sharp; falling, it stays G flat."""
    assert any(text.startswith("F♯, the ♯6 of A♭7, rises a half step to G") for text in
               told("Ab7", after))  # fmt: skip
    assert not any("F♯" in text for text in told("Ab7", "Dbmaj7"))


@pytest.mark.parametrize(
    ("one", "two", "lead"),
    [
        ("G7(b9)", "Cm6", "A♭, the ♭9 of G7(♭9), falls a half step to G, the 5 of Cm6"),
        ("D#dim7", "Em7", "C, the ♭♭7 of D♯dim7, falls a half step to B, the 5 of Em7"),
    ],
)
def test_a_note_that_leans_down_falls(one: str, two: str, lead: str) -> None:
    """It does so also where another note of the next chord is as near."""
    given = told(one, two)
    assert lead in given
    assert len([text for text in given if text.startswith(lead[:8])]) == 1


@pytest.mark.parametrize("one", ["G7alt", "G7(b9,#11)", "D#dim7", "Abm7(b5)", "Cb7(#5)"])
@pytest.mark.parametrize("two", ["Cm(maj7)", "F#7(b9,b13)", "Ebdim7", "B7(b5)", "Dbmaj7(#11)"])
def test_a_note_is_spelled_as_its_degree_says(one: str, two: str) -> None:
    """On both sides: a flat nine is no sharp eight, a doubly flat seventh no sixth."""
    here, there = parse_symbol(one), parse_symbol(two)
    threads = threads_between(facts_of(here), facts_of(there))
    assert threads
    for thread in threads:
        assert note_at(here.root, thread.here[1]) == thread.here[0]
        assert note_at(there.root, thread.there[1]) == thread.there[0]


def test_a_bass_that_moves_by_step_is_a_thread_of_symbols_too() -> None:
    """C to G over B."""
    threads = threads_between(*[facts_of(parse_symbol(name)) for name in ("C", "G/B")])
    assert (threads[0].voice, threads[0].motion) == ("bass", -1)


frets = st.lists(st.one_of(st.none(), st.integers(0, 12)), min_size=6, max_size=6)


@settings(max_examples=150, deadline=None)
@given(frets, frets)
def test_no_pairing_of_grips_beats_the_lower_bound(
    one: list[int | None], two: list[int | None]
) -> None:
    """Voices that use every note move no less than their sets must (Tymoczko 2006)."""
    here, there = [sounding(grip) for grip in (one, two)]
    pairs = paired(here, there)
    assert len(pairs) == min(len(here), len(there))
    if len(here) == len(there) and here:
        sets = [tuple(sorted({tone.midi % 12 for tone in side})) for side in (here, there)]
        total = sum(abs(b.midi - a.midi) for a, b, _ in pairs)
        assert total >= least_motion(*sets)[0]


@settings(max_examples=100, deadline=None)
@given(frets, frets)
def test_bass_goes_to_bass_and_top_to_top(one: list[int | None], two: list[int | None]) -> None:
    """And no note is used twice."""
    here, there = [sounding(grip) for grip in (one, two)]
    pairs = paired(here, there)
    for side in (0, 1):
        used = [pair[side].string for pair in pairs]
        assert len(used) == len(set(used))
    if len(here) > 1 and len(there) > 1:
        ends = {voice: (a.midi, b.midi) for a, b, voice in pairs}
        assert ends["bass"] == (min(t.midi for t in here), min(t.midi for t in there))
        assert ends["top"] == (max(t.midi for t in here), max(t.midi for t in there))


def test_what_is_left_is_paired_by_the_least_motion() -> None:
    """Against trying every way: three inner notes that no string holds together."""
    here, there = sounding([0, None, 9, None, 8, 3]), sounding([3, 7, None, 5, None, 0])
    inner = [(a, b) for a, b, voice in paired(here, there) if voice not in ("bass", "top")]
    mine, theirs = [t.midi for t in here[1:-1]], [t.midi for t in there[1:-1]]
    least = min(
        sum(abs(a - b) for a, b in zip(mine, order, strict=True)) for order in permutations(theirs)
    )
    assert inner and sum(abs(a.midi - b.midi) for a, b in inner) == least


def test_a_shape_that_moves_whole_keeps_its_strings() -> None:
    """Five frets up, although the middle notes would find nearer ones."""
    pairs = paired(sounding([1, 3, 3, 2, 1, 1]), sounding([6, 8, 8, 7, 6, 6]))
    assert all(a.string == b.string and b.midi - a.midi == 5 for a, b, _ in pairs)


def sounding(frets: list[int | None]) -> list[Tone]:
    """Return the notes of a grip in standard tuning, as C major would hear them."""
    grip = Grip(tuple(frets))
    if not any(fret is not None for fret in frets):
        return []
    return list(tones_under(parse_symbol("C"), grip))


def test_a_foreign_bass_has_a_thread_too() -> None:
    """C over B: the bass falls on to the root of A minor by a whole step, and C stays."""
    assert "C, the root of C/B, stays as the ♭3 of Am" in told("C/B", "Am")
