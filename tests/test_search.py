"""Every playable grip: complete against a brute-force oracle, constraints, ranking, groups."""

from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hand_oracle
from gripwright.errors import SearchError
from gripwright.neck.effort import Player
from gripwright.neck.geometry import SMALL, Hand, reach_share
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, Neck, Tuning, make_neck, parse_tuning
from gripwright.theory.interval import degrees
from gripwright.theory.pitch import Pitch, parse_note, simple_note
from gripwright.theory.quality import BASES
from gripwright.theory.symbol import ChordSymbol, parse_symbol
from gripwright.voicing.conflicts import check_sounds, explain_nothing
from gripwright.voicing.levels import LEVELS
from gripwright.voicing.limits import MOST_REACH, Edge, Limits, check_limits
from gripwright.voicing.rules import (
    MAY_LEAVE_OUT,
    Wish,
    may_leave_out,
    wish_for,
    wish_for_notes,
    wish_for_pitches,
)
from gripwright.voicing.search import find_grips, pick_different
from gripwright.voicing.sound import sound_raw

SYMBOLS = ["C", "Gm", "D7", "Ebmaj7", "F#m7(b5)", "Bb13", "A7alt", "D/F#", "C/D", "Eadd9", "G5"]


def texts(symbol: str, **kw: object) -> list[str]:
    """Return the grips that are found for a symbol, as text."""
    return [one.grip.text for one in find_grips(parse_symbol(symbol), **kw)]  # type: ignore[arg-type]


def slow(wish: Wish, player: Player, limits: Limits) -> set[tuple[int | None, ...]]:
    """Return every grip by trying them all, after docs/hand.md."""
    neck = player.neck
    low, high = limits.frets
    strings = [[None, *range(low, high + 1)] for _ in range(len(neck))]
    return {frets for frets in product(*strings) if _fits(frets, wish, player, limits)}


def _fits(frets: tuple[int | None, ...], wish: Wish, player: Player, limits: Limits) -> bool:
    neck = player.neck
    midis = [neck.midi(i, f) for i, f in enumerate(frets) if f is not None]
    at = tuple(f if not f else f + neck.stops[i] for i, f in enumerate(frets))
    pressed = [f for f in at if f]
    if not midis or any(f > 24 for f in pressed) or not _sounds(wish, midis, limits):
        return False
    if pressed and max(pressed) - min(pressed) + 1 > limits.span:
        return False
    if pressed and reach_share(min(pressed), max(pressed), player.hand) > MOST_REACH:
        return False
    return hand_oracle.can_hold(at)


def _sounds(wish: Wish, midis: list[int], limits: Limits) -> bool:
    classes = {midi % 12 for midi in midis}
    if not limits.notes[0] <= len(midis) <= limits.notes[1]:
        return False
    if wish.midi is not None:
        return sorted(midis) == sorted(wish.midi)
    foreign = [m for m in midis if m % 12 not in wish.required | wish.optional]
    return (
        wish.required <= classes
        and all(group & classes for group in wish.one_of)
        and all(m % 12 == wish.bass_only and m == min(midis) for m in foreign)
        and (wish.basses is None or min(midis) % 12 in wish.basses)
    )


@st.composite
def players(draw: st.DrawFn) -> Player:
    """Draw a neck of four or five strings in any tuning, a capo on it, and a hand."""
    midis = draw(st.lists(st.integers(38, 66), min_size=4, max_size=5))
    pitches = [Pitch(simple_note(m % 12), 0) for m in midis]
    tuning = Tuning(tuple(
        Pitch(p.note, (m - p.midi) // 12) for m, p in zip(midis, pitches, strict=True)
    ))  # fmt: skip
    stops = draw(st.one_of(st.integers(0, 3).map(lambda c: (c,) * len(midis)),
                           st.tuples(*[st.sampled_from([0, 2])] * len(midis))))  # fmt: skip
    return Player(make_neck(tuning, stops), draw(st.sampled_from([Hand(140.0), Hand(184.0)])))


@given(players(), st.sampled_from(SYMBOLS), st.integers(2, 5), st.booleans())
@settings(max_examples=35, deadline=None)
def test_the_search_is_complete(player: Player, symbol: str, span: int, any_bass: bool) -> None:
    """On any tuning, with capos full and partial: equal as a set to trying every grip."""
    limits = Limits(frets=(0, 5), span=span)
    wish = wish_for(parse_symbol(symbol), any_bass=any_bass)
    found = [one.grip.frets for one in find_grips(wish, player, limits)]
    assert len(found) == len(set(found))
    assert set(found) == slow(wish, player, limits)


@given(players(), st.data())
@settings(max_examples=30, deadline=None)
def test_exact_pitches_are_complete_too(player: Player, data: st.DataObject) -> None:
    """A set of pitches sounds exactly, each once, wherever it lies."""
    neck = player.neck
    places = data.draw(st.lists(st.tuples(st.integers(0, len(neck) - 1), st.integers(0, 5)),
                                min_size=2, max_size=4))  # fmt: skip
    wish = wish_for_pitches({neck.midi(i, f) for i, f in places}, "these")
    limits = Limits(frets=(0, 5), notes=(1, 8))
    assert {one.grip.frets for one in find_grips(wish, player, limits)} == slow(
        wish, player, limits
    )


def test_the_whole_neck_on_eight_strings() -> None:
    """Eight strings and 24 frets: only what sounds right, every grip once."""
    player = Player(make_neck(parse_tuning("F#1 B1 E2 A2 D3 G3 B3 E4")))
    limits = Limits(frets=(0, 24), notes=(6, 8))
    found = find_grips(parse_symbol("Em7"), player, limits)
    assert len(found) > 50
    assert len({one.grip for one in found}) == len(found)
    for one in found:
        assert {m % 12 for m in one.midis} <= {4, 7, 11, 2} and min(one.midis) % 12 == 4


@pytest.mark.parametrize(
    ("symbol", "grip"),
    [
        ("C", "x32010"), ("C", "x35553"), ("F", "133211"), ("Bm", "x24432"), ("Cmaj7", "x3545x"),
        ("G13", "3x345x"), ("C9", "x3233x"), ("E7(#9)", "x7678x"), ("D/F#", "2x0232"),
        ("Am7", "x02010"), ("Bdim7", "x2313x"), ("Cm7(b5)", "x3434x"), ("Dsus2", "xx0230"),
        ("Cadd9", "x32033"), ("E5", "022xxx"), ("B7", "x21202"), ("Fmaj7", "xx3210"),
    ],
)  # fmt: skip
def test_grips_that_everybody_plays_are_found(symbol: str, grip: str) -> None:
    """Common practice, no source."""
    assert grip in texts(symbol)


def test_easiest_first() -> None:
    """The order is by effort; all of them within the limits."""
    found = find_grips(parse_symbol("Am"))
    efforts = [one.effort.raw for one in found]
    assert efforts == sorted(efforts) and len(efforts) > 50


def test_every_base_has_its_rule() -> None:
    """What may be left out is claimed by its base, and no rule is for an unknown base."""
    assert set(MAY_LEAVE_OUT) <= set(BASES)
    for name, free in MAY_LEAVE_OUT.items():
        assert set(free) <= set(BASES[name].degrees)


@pytest.mark.parametrize(
    ("symbol", "free"),
    [
        ("C", ""), ("C6", ""), ("C7", "5"), ("C13", "5 9"), ("C7(#5)", ""), ("C13(b9)", "5"),
        ("C11", "3 5 9"), ("Cadd9", "5"), ("Cm7(b5)", ""), ("C7alt", "b5 #5 b9 #9"),
    ],
)  # fmt: skip
def test_what_may_be_left_out(symbol: str, free: str) -> None:
    """Common practice, no source: fifths and fillers, never what gives the chord its name."""
    assert may_leave_out(parse_symbol(symbol).quality) == degrees(free)


def test_an_altered_chord_keeps_a_fifth_and_a_ninth() -> None:
    """One of its fifths and one of its ninths are enough, none is too few."""
    for one in find_grips(parse_symbol("G7alt")):
        above = {(m - 7) % 12 for m in one.midis}
        assert above & {6, 8} and above & {1, 3} and {0, 4, 10} <= above


def test_a_foreign_bass_sounds_only_at_the_bottom() -> None:
    """C/D has its D as lowest note and nowhere else."""
    found = find_grips(parse_symbol("C/D"))
    assert found
    for one in found:
        ds = [m for m in one.midis if m % 12 == 2]
        assert set(ds) == {min(one.midis)}


UKULELE = Player(make_neck(parse_tuning("G4 C4 E4 A4")))


@pytest.mark.parametrize(("symbol", "grip"), [("G7", "0212"), ("F", "2010"), ("C", "0003")])
def test_on_a_re_entrant_neck_a_name_leaves_the_bass_open(symbol: str, grip: str) -> None:
    """What everybody plays there comes first. Common practice, no source."""
    found = find_grips(parse_symbol(symbol), UKULELE)
    assert pick_different(found, 1)[0].grip.text == grip


def test_a_written_bass_holds_on_a_re_entrant_neck_too() -> None:
    """F over C has its C lowest, F over A an A."""
    for bass, pc in (("C", 0), ("A", 9)):
        found = find_grips(parse_symbol(f"F/{bass}"), UKULELE)
        assert found and all(min(one.midis) % 12 == pc for one in found)


def test_rootless_grips_on_request() -> None:
    """Without its root a thirteenth keeps third, seventh and thirteenth."""
    found = find_grips(wish_for(parse_symbol("C13"), rootless=True), limits=Limits(frets=(1, 12)))
    without = [one for one in found if not any(m % 12 == 0 for m in one.midis)]
    assert without
    assert all({4, 10, 9} <= {m % 12 for m in one.midis} for one in without)


def test_required_and_forbidden_degrees() -> None:
    """The fifth on request, or never."""
    symbol = parse_symbol("C7")
    with_, without = (
        find_grips(wish_for(symbol, **{word: degrees("5")})) for word in ("require", "forbid")
    )
    assert with_ and all(7 in {m % 12 for m in one.midis} for one in with_)
    assert without and all(7 not in {m % 12 for m in one.midis} for one in without)


def test_a_degree_cannot_be_needed_and_forbidden() -> None:
    """The third of a seventh chord is not for leaving out."""
    with pytest.raises(SearchError, match="C7 needs its 3"):
        wish_for(parse_symbol("C7"), forbid=degrees("3"))


@pytest.mark.parametrize(
    ("limits", "holds"),
    [
        (Limits(top=Edge(4, "E")), lambda one: max(one.midis) % 12 == 4),
        (Limits(top=Edge(64, "E4", exact=True)), lambda one: max(one.midis) == 64),
        (Limits(open_strings="none"), lambda one: 0 not in one.grip.frets),
        (Limits(open_strings="some"), lambda one: 0 in one.grip.frets),
        (Limits(doubling=False), lambda one: len({m % 12 for m in one.midis}) == len(one.midis)),
        (Limits(strings=frozenset({1, 2, 3, 4})),
         lambda one: [f is not None for f in one.grip.frets] == [0, 1, 1, 1, 1, 0]),
        (Limits(frets=(5, 9)), lambda one: all(f is None or 5 <= f <= 9 for f in one.grip.frets)),
        (Limits(notes=(4, 4)), lambda one: len(one.midis) == 4),
        (Limits(span=2), lambda one: max(one.grip.pressed) - min(one.grip.pressed) <= 1),
    ],
)  # fmt: skip
def test_constraints_hold_and_take_nothing_else_away(limits: Limits, holds: object) -> None:
    """A constrained search is the free one with what breaks the constraint taken out."""
    free = find_grips(parse_symbol("Cmaj7"), limits=Limits())
    want = [one.grip for one in free if holds(one)]  # type: ignore[operator]
    assert want
    assert [one.grip for one in find_grips(parse_symbol("Cmaj7"), limits=limits)] == want


def test_levels_lie_inside_each_other() -> None:
    """What a beginner may play an advanced student may too; F with its barre comes third."""
    sets = [set(texts("F", limits=Limits(level=level))) for level in LEVELS]
    assert all(one <= other for one, other in pairwise(sets))
    assert [("133211" in one) for one in sets] == [False, False, True, True, True]


def test_a_small_hand_reaches_less_of_the_low_frets() -> None:
    """Five frets at the nut are beyond a small hand and at the edge of a medium one."""
    limits = Limits(span=5)
    small, medium = (
        find_grips(parse_symbol("Fadd9"), Player(hand=hand), limits)
        for hand in (SMALL, Hand(184.0))
    )
    assert len(small) < len(medium)


def test_the_first_ten_differ() -> None:
    """No two share place, bass string, top note, barre and open strings."""
    first = pick_different(find_grips(parse_symbol("Am7")))
    assert len(first) == 10 == len({one.group for one in first})


def test_notes_in_any_octave_may_be_asked_for() -> None:
    """The first note named is the lowest."""
    wish = wish_for_notes([parse_note(name) for name in ("E", "G", "C")], "E G C")
    assert all(min(one.midis) % 12 == 4 for one in find_grips(wish))


def test_close_notes_low_down_are_mud() -> None:
    """A major third below the low interval limit counts against the sound, one above it not."""
    assert sound_raw([40, 44, 52, 56, 59]) > sound_raw([40, 47, 52, 56, 59])


def test_a_missing_guide_tone_counts() -> None:
    """C13 sounds best with third, seventh and thirteenth there."""
    symbol = parse_symbol("C13")
    assert sound_raw([48, 58, 64, 69, 74], symbol) < sound_raw([48, 60, 64, 69, 74], symbol)


@pytest.mark.parametrize(
    ("limits", "field"),
    [
        (Limits(frets=(5, 2)), "frets"), (Limits(frets=(0, 40)), "frets"),
        (Limits(span=0), "span"), (Limits(level=9), "level"), (Limits(notes=(4, 2)), "notes"),
        (Limits(strings=frozenset({9})), "strings"),
    ],
)  # fmt: skip
def test_limits_that_cannot_be_are_refused(limits: Limits, field: str) -> None:
    """Each names its field."""
    with pytest.raises(SearchError) as caught:
        check_limits(limits, STANDARD_NECK)
    assert caught.value.field == field and caught.value.remedy


def _why(symbol: ChordSymbol, limits: Limits, neck: Neck = STANDARD_NECK) -> SearchError:
    return explain_nothing(wish_for(symbol), Player(neck), limits, symbol)


def test_conflicting_constraints_are_named_with_the_nearest_grip() -> None:
    """Only the constraints that matter are named; the grip breaks one of them."""
    limits = Limits(frets=(0, 3), top=Edge(76, "E5", exact=True), notes=(3, 6))
    assert not find_grips(parse_symbol("C"), limits=limits)
    error = _why(parse_symbol("C"), limits)
    assert error.message == "no grip for C has E5 on top and frets 0 to 3"
    nearest = parse_grip(str(error.remedy).split()[-1])
    assert max(nearest.pressed) <= 3 or max(s.midi for s in soundings(nearest, STANDARD_NECK)) == 76


def test_a_symbol_too_large_for_the_strings() -> None:
    """Seven notes do not fit four strings."""
    neck = make_neck(parse_tuning("G4 C4 E4 A4"))
    with pytest.raises(SearchError, match="needs 6 different notes, this tuning has 4 strings"):
        check_sounds(wish_for(parse_symbol("C13(#11,b9)")), neck)


def test_a_symbol_that_no_hand_plays_here() -> None:
    """With all strings a semitone apart a wide chord is out of every hand's reach."""
    neck = make_neck(parse_tuning("E2 F2 F#2 G2"))
    error = _why(parse_symbol("Cmaj7"), Limits(), neck)
    assert "no hand can play Cmaj7" in error.message
