"""The best chain: exact against trying every chain, and what a change is."""

from __future__ import annotations

import math
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.errors import GripError, SearchError, SymbolError
from gripwright.neck.effort import Player
from gripwright.neck.grip import parse_grip
from gripwright.theory.symbol import parse_symbol
from gripwright.voicing.arrange import (
    Asked,
    Wanted,
    arrange,
    fixed_grip,
    for_another_neck,
)
from gripwright.voicing.change import SHIFT_PER_MM, change_costs, haste, motion, table_of
from gripwright.voicing.changes import parse_changes, with_tops
from gripwright.voicing.easier import loss_of, plainer
from gripwright.voicing.limits import Edge, Limits
from gripwright.voicing.moves import move_between, voice_pairs
from gripwright.voicing.path import (
    Chain,
    Place,
    all_holds,
    best_chain,
    different_chains,
    finger_chain,
)
from gripwright.voicing.search import Found, find_grips

POOL = {name: find_grips(parse_symbol(name)) for name in ("C", "Am7", "Dm7", "G7", "F", "Bm7(b5)")}


def change(before: Found, after: Found, time_s: float = 1.0, rising: bool = False) -> float:
    """Return the cost of one change."""
    tables = table_of([before]), table_of([after])
    return float(change_costs(*tables, time_s, rising=rising)[0, 0])


def moments(grips: tuple[Found, ...], places: list[Place], rising: bool) -> list[float]:
    """Return the cost of each chord with the change into it, one at a time."""
    costs = [grips[0].cost]
    for (before, after), place in zip(pairwise(grips), places[1:], strict=True):
        costs.append(after.cost + change(before, after, place.time_s, rising))
    return costs


@st.composite
def problems(draw: st.DrawFn) -> list[Place]:
    """Draw a few places with a few candidates each."""
    names = draw(st.lists(st.sampled_from(sorted(POOL)), min_size=2, max_size=4))
    places = []
    for name in names:
        rows = draw(st.lists(st.integers(0, len(POOL[name]) - 1), min_size=1, max_size=4))
        time_s = draw(st.sampled_from([0.3, 1.0, 4.0]))
        places.append(Place(tuple(POOL[name][row] for row in rows), time_s))
    return places


@given(problems(), st.booleans())
@settings(max_examples=40, deadline=None)
def test_the_least_sum_is_exact(places: list[Place], rising: bool) -> None:
    """No chain through the candidates costs less in all."""
    every = product(*(place.candidates for place in places))
    best = min(sum(moments(grips, places, rising)) for grips in every)
    found = best_chain(places, rising=rising)
    assert math.isclose(found.cost, best, rel_tol=1e-4)
    assert math.isclose(sum(moments(found.grips, places, rising)), best, rel_tol=1e-4)


def strains(grips: tuple[Found, ...], places: list[Place]) -> list[float]:
    """Return the raw effort of each chord and of the hand's way into it."""
    found = [grips[0].effort.raw]
    for (before, after), place in zip(pairwise(grips), places[1:], strict=True):
        moved = float(motion(table_of([before]), table_of([after]))[0, 0])
        found.append(after.effort.raw + haste(place.time_s) * moved)
    return found


@given(problems())
@settings(max_examples=40, deadline=None)
def test_the_least_worst_moment_is_exact(places: list[Place]) -> None:
    """No chain has an easier hardest moment; of those that share it none has a smaller sum."""
    every = list(product(*(place.candidates for place in places)))
    worst = min(max(strains(grips, places)) for grips in every)
    total = min(
        sum(moments(grips, places, False))
        for grips in every
        if max(strains(grips, places)) <= worst + 1e-4
    )
    found = best_chain(places, aim="worst")
    assert math.isclose(found.worst, worst, rel_tol=1e-4)
    assert math.isclose(found.worst, max(strains(found.grips, places)), rel_tol=1e-4)
    assert found.cost <= total + 1e-3


def test_the_two_aims_differ() -> None:
    """Least total may have a harder worst moment, never a greater sum."""
    places = [Place(POOL[name][:80], 0.4) for name in ("C", "F", "Bm7(b5)", "G7", "C")]
    total, worst = best_chain(places), best_chain(places, aim="worst")
    assert total.cost <= worst.cost and worst.worst <= total.worst


def test_fingers_along_a_path_are_exact() -> None:
    """Every way to hold each grip, tried in all combinations."""
    grips = [fixed_grip(parse_grip(g), Player())[0] for g in ("x02210", "022100", "xx3210")]
    times = [1.0, 0.5, 0.5]
    found = finger_chain(grips, times)
    places = [Place(all_holds(g), t) for g, t in zip(grips, times, strict=True)]
    every = product(*(place.candidates for place in places))
    best = min(sum(moments(chain, places, False)) for chain in every)
    assert math.isclose(found.cost, best, rel_tol=1e-4)


def test_a_kept_finger_costs_nothing() -> None:
    """Am to Am7 lifts the ring finger; the others stay."""
    am = fixed_grip(parse_grip("x02210"), Player(), fingers=(None, None, "2", "3", "1", None))[0]
    am7 = fixed_grip(parse_grip("x02010"), Player(), fingers=(None, None, "2", None, "1", None))[0]
    move = move_between(am, am7)
    assert (move.kept, move.slid, move.shift_frets) == (("1", "2"), (), 0)
    assert change(am, am7) < 0.1


def test_a_slide_is_cheaper_than_a_jump() -> None:
    """The same power chord up two frets slides; set on other strings it is placed anew."""
    low, high, across = (
        fixed_grip(parse_grip(g), Player(), fingers=tuple(None if f == "." else f for f in fs))[0]
        for g, fs in (("35xxxx", "13...."), ("57xxxx", "13...."), ("x57xxx", ".13..."))
    )  # type: ignore[arg-type]
    assert move_between(low, high).slid == ("1", "3")
    assert change(low, high) < change(low, across)


def test_a_barre_opens_like_a_hinge() -> None:
    """From the full barre to its edge alone the first finger stays at its fret."""
    full = fixed_grip(parse_grip("xx3211"), Player(), fingers=(None, None, "3", "2", "1", "1"))[0]
    tip = fixed_grip(parse_grip("xx3210"), Player())[0]
    move = move_between(full, tip)
    assert move.hinged and "1" in move.kept


def test_a_change_costs_more_in_a_hurry() -> None:
    """Half the time, twice the cost of the hand; the voices do not care."""
    assert haste(0.5) == 2 * haste(1.0)
    one, other = POOL["C"][10], POOL["F"][40]
    assert change(one, other, 0.4) > change(one, other, 1.0) > change(one, other, 4.0)


def test_the_shift_is_told_in_frets_and_mm() -> None:
    """Fret 1 to 4 of a 650 mm string is 97.6 mm (L(1 - 2^(-n/12)))."""
    low, high = (fixed_grip(parse_grip(g), Player())[0] for g in ("133211", "466544"))
    move = move_between(low, high)
    assert move.shift_frets == 3 and round(move.shift_mm, 1) == 97.6
    assert change(low, high) >= SHIFT_PER_MM * 97


@given(st.lists(st.integers(40, 76), min_size=1, max_size=4),
       st.lists(st.integers(40, 76), min_size=1, max_size=4))  # fmt: skip
@settings(max_examples=80, deadline=None)
def test_voices_move_as_little_as_can_be(before: list[int], after: list[int]) -> None:
    """Against every relation that uses all notes of both (Tymoczko 2006, doublings allowed)."""
    pairs = voice_pairs(before, after)
    assert {a for a, _ in pairs} == set(before) and {b for _, b in pairs} == set(after)
    cells = list(product(range(len(before)), range(len(after))))
    sizes = [abs(before[i] - after[j]) for i, j in cells]
    best = math.inf
    for bits in range(1, 1 << len(cells)) if len(cells) <= 9 else ():
        chosen = [cell for place, cell in enumerate(cells) if bits >> place & 1]
        if len({i for i, _ in chosen}) == len(before) and len({j for _, j in chosen}) == len(after):
            best = min(best, sum(s for place, s in enumerate(sizes) if bits >> place & 1))
    if best < math.inf:
        assert sum(abs(a - b) for a, b in pairs) == best


def test_a_rising_top_line_is_rewarded() -> None:
    """A change whose top note falls costs more where the line should rise, one that rises not."""
    high, low = fixed_grip(parse_grip("xxx567"), Player())[0], POOL["C"][0]
    assert change(high, low, rising=True) > change(high, low)
    assert change(low, high, rising=True) == change(low, high)


def test_fixed_grips_stay() -> None:
    """The teacher's grip and fingers are there, the others chosen around it."""
    fingers = (None, "3", "2", None, "1", None)
    asked = [Asked(parse_symbol("Am")), Asked(None, parse_grip("x32010"), fingers),
             Asked(parse_symbol("G"))]  # fmt: skip
    found = arrange(asked, Player())[0]
    assert found.grips[1].grip.text == "x32010"
    assert found.fingerings[1].fingers == fingers


def test_a_fixed_grip_may_need_the_thumb() -> None:
    """The thumb takes the outermost string where four fingers are not enough."""
    found = arrange([Asked(None, parse_grip("122342")), Asked(parse_symbol("F"))], Player())[0]
    assert found.fingerings[0].fingers[0] == "T"


def test_a_given_top_line_is_kept() -> None:
    """Each chord has the top note asked for."""
    tops = [Edge(64, "E4", exact=True), None, Edge(7, "G")]
    asked = with_tops(parse_changes("C F | G"), tops)
    grips = arrange(asked, Player())[0].grips
    assert max(grips[0].midis) == 64 and max(grips[2].midis) % 12 == 7


def test_chains_on_request_truly_differ() -> None:
    """No two share region and top note at half of the places; the first is the best."""
    places = [Place(POOL[name][:100]) for name in ("C", "Am7", "Dm7", "G7")]
    chains = different_chains(places, 3)
    assert len(chains) == 3 and chains[0].cost == min(chain.cost for chain in chains)
    for one, other in ((0, 1), (0, 2), (1, 2)):
        assert _alike(chains[one], chains[other]) < 2


def _alike(one: Chain, other: Chain) -> int:
    def feel(found: Found) -> tuple[int, int]:
        return ((found.base + 1) // 3, max(found.midis))

    return sum(feel(a) == feel(b) for a, b in zip(one.grips, other.grips, strict=True))


def test_a_level_gives_what_its_student_can_play_and_tells_the_loss() -> None:
    """At level 1 a thirteenth loses degrees, at level 5 none; effort falls with the level."""
    asked = [Asked(parse_symbol("Ab13(#11)"))]
    easy, full = (arrange(asked, Player(), Wanted(Limits(level=level)))[0] for level in (1, 5))
    assert easy.losses[0].degrees and not full.losses[0]
    assert easy.effort < full.effort and not easy.fingerings[0].barres
    assert "leaves out the" in easy.losses[0].text


def test_plainer_symbols_keep_their_third() -> None:
    """A minor eleventh becomes minor ever plainer, an altered fifth goes to what holds it."""
    assert [p.text for p in plainer(parse_symbol("Dm11"))] == ["Dm9", "Dm7", "Dm"]
    assert [p.text for p in plainer(parse_symbol("Bm7(b5)"))] == ["Bdim"]
    assert plainer(parse_symbol("C")) == ()


def test_a_moved_bass_is_told_as_a_loss() -> None:
    """C over E is no C over C."""
    loss = loss_of(parse_symbol("C"), [52, 55, 60])
    assert loss.bass and loss.text == "E is in the bass instead of C"


def test_a_place_without_candidates_is_named() -> None:
    """The chord at fault is told by its number."""
    with pytest.raises(SearchError, match="chord 2 has no grip"):
        best_chain([Place(POOL["C"][:3]), Place(())])
    with pytest.raises(SearchError, match="chord 1, C13, has no grip within these limits"):
        arrange([Asked(parse_symbol("C13"))], Player(), Wanted(Limits(span=1)))


def test_grips_alone_do_not_go_to_another_neck() -> None:
    """A grip belongs to its tuning; with a symbol it can be found again."""
    asked = parse_changes("x32010=C x02210")
    with pytest.raises(SearchError, match="chord 2 is only the grip x02210"):
        for_another_neck(asked)
    assert for_another_neck(asked[:1])[0].grip is None


def test_a_long_song_needs_one_grip_a_chord() -> None:
    """Two hundred chords, four of them different."""
    asked = [Asked(parse_symbol(name)) for name in ("G", "D", "Em", "C")] * 50
    assert len(arrange(asked, Player())[0].grips) == 200


def test_a_written_bass_is_never_dropped() -> None:
    """A beginner leaves strings out; the bass that is written stays lowest."""
    asked = parse_changes("C G/B Am Am/G F C/E Dm D7")
    for level in (1, 2, 3):
        grips = arrange(asked, Player(), Wanted(Limits(level=level)))[0].grips
        basses = [one.symbol.bass_note.pc for one in asked if one.symbol]
        assert [min(one.midis) % 12 for one in grips] == basses


def test_a_symbol_keeps_its_grip() -> None:
    """Two grips for one symbol in one line are the exception."""
    asked = parse_changes("G | C | D7 | G | Em | C | D7 | G")
    found = arrange(asked, Player())[0].grips
    pairs = {(one.symbol, held.grip) for one, held in zip(asked, found, strict=True)}
    assert len(pairs) == 4


def test_a_beginner_gets_the_open_chords() -> None:
    """What every first book has (common practice, no source)."""
    grips = arrange(parse_changes("C Am Dm E Am"), Player(), Wanted(Limits(level=1)))[0].grips
    assert [one.grip.text for one in grips] == ["x32010", "x02210", "xx0231", "022100", "x02210"]


def test_changes_share_the_time_of_their_bar() -> None:
    """Bars, chords struck again, grips and both."""
    asked = parse_changes("Dm7 / G7 / | x32010=C | 022100", bar_s=4.0)
    assert [one.length_s for one in asked] == [2.0, 2.0, 4.0, 4.0]
    assert asked[2].symbol == parse_symbol("C") and asked[2].grip == parse_grip("x32010")
    assert asked[3].symbol is None


@pytest.mark.parametrize(
    ("text", "error", "told"),
    [
        ("Dm7 | Hx", SymbolError, "chord 2"), ("x3 | C", GripError, "2 places"),
        ("  | ", Exception, "no chords"), ("C " * 2001, Exception, "2001 chords"),
    ],
)  # fmt: skip
def test_wrong_changes_are_refused(text: str, error: type[Exception], told: str) -> None:
    """Each error names the chord or what is missing."""
    with pytest.raises(error, match=told):
        parse_changes(text)


def test_a_rest_leaves_its_time_to_the_change_after_it() -> None:
    """No chord is asked for; the one before has longer, one before all is skipped."""
    asked = parse_changes("rest C | N.C. | F", bar_s=4.0)
    assert [one.length_s for one in asked] == [6.0, 4.0]


def test_as_many_top_notes_as_chords() -> None:
    """Three chords and two tops do not match."""
    with pytest.raises(Exception, match="2 top notes for 3 chords"):
        with_tops(parse_changes("C F G"), [None, None])
