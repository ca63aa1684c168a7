"""Fingering a grip: the exact optimum, what its effort says, and when to be careful."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.stats import spearmanr

import hand_oracle
from gripwright.errors import GripError
from gripwright.neck.cautions import chain_cautions
from gripwright.neck.effort import Player
from gripwright.neck.fingering import Way, best_way, weigh
from gripwright.neck.geometry import LARGE, MEDIUM, SMALL, Build, Hand
from gripwright.neck.grip import Grip, parse_grip
from gripwright.neck.hand import Barre, finger, finger_for, fingerings_for
from gripwright.neck.shapes import holdings, shape_of
from gripwright.neck.tuning import make_neck, parse_tuning

BANDS = Path(__file__).parents[1] / "evaluation" / "hand_bands.txt"
FRET = st.one_of(st.none(), st.integers(0, 6))
FRETS = st.lists(FRET, min_size=4, max_size=6).map(tuple)
NECKS = {
    count: make_neck(parse_tuning(" ".join(["D2", "A2", "D3", "G3", "B3", "E4"][:count])))
    for count in (4, 5, 6)
}


def raw(grip: str, **kw: object) -> float:
    """Return the raw effort of a grip in standard tuning."""
    return finger(parse_grip(grip), **kw).effort.raw  # type: ignore[arg-type]


def fingers(grip: str) -> str:
    """Return the fingers of a grip as text, a dot for none."""
    return "".join(one or "." for one in finger(parse_grip(grip)).fingers)


@pytest.mark.parametrize("hand", [MEDIUM, LARGE])
@pytest.mark.parametrize("build", [Build(), Build(gauge="heavy"), Build(gauge="light")])
def test_pressing_alone_falls_in_the_published_order(hand: Hand, build: Build) -> None:
    """Muscle force G7 41.0, A minor 32.8, E 30.3, C 26.6 N (doi 10.1177/1541931213571367)."""
    grips = [parse_grip(grip) for grip in ("320001", "x02210", "022100", "x32010")]
    press = [finger(grip, hand=hand, build=build).effort.press for grip in grips]
    assert press == sorted(press, reverse=True)
    assert len(set(press)) == 4


def test_effort_agrees_with_teachers_order() -> None:
    """Rank correlation with the banded list (common practice, no source) is 0.85 or more."""
    lines = BANDS.read_text(encoding="utf-8").splitlines()
    rows = [line.split(maxsplit=2) for line in lines if line and line[0] != "#"]
    assert len(rows) >= 60
    efforts = [raw(grip) for _, grip, _ in rows]
    assert spearmanr([int(band) for band, _, _ in rows], efforts).statistic >= 0.85


@pytest.mark.parametrize(
    ("grip", "usual"),
    [
        ("x32010", ".32.1."), ("x02210", "..231."), ("022100", ".231.."), ("xx0232", "...132"),
        ("xx0212", "...213"), ("320003", "21...3"), ("320001", "32...1"), ("x21202", ".213.4"),
        ("133211", "134211"), ("x24432", ".13421"), ("133111", "134111"), ("x3545x", ".1324."),
        ("x7678x", ".2134."), ("x02220", "..123."), ("x32310", ".3241."),
    ],
)  # fmt: skip
def test_common_grips_get_their_usual_fingers(grip: str, usual: str) -> None:
    """The fingers that teachers give first (common practice, no source)."""
    assert fingers(grip) == usual


@given(FRETS)
@settings(max_examples=120, deadline=None)
def test_holdings_are_what_the_rules_allow(frets: tuple[int | None, ...]) -> None:
    """The same set as every map from strings to fingers that keeps the rules."""
    shape, base = shape_of(frets, (0,) * len(frets))
    mine = {frozenset((h.finger, h.fret + base - 1, h.strings) for h in w) for w in holdings(shape)}
    slow = {frozenset((h.finger, h.fret, h.strings) for h in w) for w in hand_oracle.ways(frets)}
    assert mine == slow


@given(FRETS, st.sampled_from([SMALL, MEDIUM, LARGE]), st.booleans())
@settings(max_examples=80, deadline=None)
def test_the_fingering_is_the_exact_optimum(
    frets: tuple[int | None, ...], hand: object, plucks: bool
) -> None:
    """No way to hold a grip costs less than the one chosen, each weighed to the end."""
    player = Player(NECKS[len(frets)], hand, plucks=plucks)  # type: ignore[arg-type]
    found = finger_for(Grip(frets), player)
    shape, base = shape_of(frets, player.neck.stops)
    costs = [one.effort.raw for one in fingerings_for(Grip(frets), player)] if found else []
    assert (found is not None) == hand_oracle.can_hold(frets)
    if found is not None:
        assert math.isclose(found.effort.raw, min(costs))
        best = best_way(shape, base, player.rig)
        assert best is not None and best[1].raw == found.effort.raw


@given(FRETS, st.integers(1, 8))
@settings(max_examples=80, deadline=None)
def test_a_shape_higher_up_never_stretches_more(frets: tuple[int | None, ...], up: int) -> None:
    """The stretch of the easiest way, and of every way, falls as its frets move up."""
    shape, base = shape_of(frets, (0,) * len(frets))
    assume(base)
    rig = Player(NECKS[len(frets)]).rig
    for holds in holdings(shape):
        way = Way(holds, 0.0, 0.0, 0.0)
        low, high = (weigh(way, at, rig).raw_stretch for at in (base, base + up))
        assert high <= low


OPEN_SHAPES = (
    st.lists(st.sampled_from([None, 0, 0, 1, 2, 3]), min_size=4, max_size=6)
    .map(tuple)
    .filter(lambda frets: frets.count(0) > 1 and sum(bool(fret) for fret in frets) <= 3)
)


def moved(frets: tuple[int | None, ...], up: int) -> tuple[int | None, ...]:
    """Return frets that are all moved up, the open ones too."""
    return tuple(None if fret is None else fret + up for fret in frets)


@given(OPEN_SHAPES, st.integers(1, 7))
@settings(max_examples=100, deadline=None)
def test_a_barre_never_makes_a_grip_easier(frets: tuple[int | None, ...], at: int) -> None:
    """Stopping the open strings with a finger costs at least what a capo there does."""
    neck = NECKS[len(frets)]
    barred = finger_for(Grip(moved(frets, at)), Player(neck))
    capoed = finger_for(Grip(frets), Player(make_neck(neck.tuning, at)))
    assert capoed is not None
    if barred is not None and barred.barres:
        assert barred.effort.raw >= capoed.effort.raw


@given(OPEN_SHAPES, st.integers(1, 7))
@settings(max_examples=100, deadline=None)
def test_a_wider_barre_never_costs_less(frets: tuple[int | None, ...], at: int) -> None:
    """A barre costs at least what any one of its strings does, pressed alone."""
    player = Player(NECKS[len(frets)])
    barred = finger_for(Grip(moved(frets, at)), player)
    for barre in [hold for hold in barred.holds if hold.is_barre] if barred else []:
        for index in barre.strings:
            alone = [at if i == index else None for i in range(len(frets))]
            single = finger_for(Grip(tuple(alone)), Player(player.neck, plucks=True))
            assert barred is not None and single is not None
            assert single.effort.raw < barred.effort.raw


def test_inner_mutes_cost_a_strummer_and_not_a_finger_picker() -> None:
    """A silent string between sounding ones is dear to one right hand and free to the other."""
    strummed, plucked = (finger(parse_grip("3x0003"), plucks=p).effort for p in (False, True))
    assert strummed.muting > 0 == plucked.muting
    assert strummed.press == plucked.press


def test_a_neighbour_mutes_cheaper_than_nobody() -> None:
    """A finger beside a silent string touches it; far from all fingers it needs one more."""
    beside, alone = (finger(parse_grip(g)).effort.muting for g in ("3x0000", "300x00"))
    assert beside < alone


def test_parts_make_up_the_whole() -> None:
    """1 - whole is the product of 1 - part, and the parts add up raw."""
    effort = finger(parse_grip("x13231")).effort
    left = math.prod(
        1 - part for part in (effort.press, effort.stretch, effort.coordination, effort.muting)
    )
    assert math.isclose(1 - effort.total, left)
    assert 0 < effort.total < 1


def test_barres_are_told_by_string_number() -> None:
    """A full barre and a partial one, string 1 on the treble side."""
    assert finger(parse_grip("133211")).barres == (Barre("1", 1, 6, 1, "full"),)
    found = finger(parse_grip("x13331"), fingers=(None, "1", "3", "3", "3", "1"))
    assert found.barres == (Barre("1", 1, 5, 1, "full"), Barre("3", 3, 4, 2, "partial"))


def test_given_fingers_are_kept() -> None:
    """A teacher's fingers stay, even where they are not the easiest."""
    given_ = ("2", "1", None, None, "3", "4")
    assert finger(parse_grip("320033"), fingers=given_).fingers == given_


def test_the_thumb_reaches_over_the_top_when_it_may() -> None:
    """Thumb on string 6 where it is asked for; by itself the barre is easier."""
    thumbed = finger(parse_grip("133211"), fingers=("T", "3", "4", "2", "1", "1"))
    assert thumbed.fingers[0] == "T"
    assert "T" not in finger(parse_grip("133211"), thumb=True).fingers


@pytest.mark.parametrize("grip", ["123456", "1-5-2-5-2-5"])
def test_what_no_hand_can_hold_is_refused(grip: str) -> None:
    """Five fingers' work raises an error that names the grip."""
    with pytest.raises(GripError, match=f"'{parse_grip(grip).text}' cannot be held"):
        finger(parse_grip(grip))


def test_fingers_that_cannot_be_are_refused() -> None:
    """A lower finger never stands at a higher fret."""
    with pytest.raises(GripError, match=r"the fingers -12-3-"):
        finger(parse_grip("x32010"), fingers=(None, "1", "2", None, "3", None))


def test_a_fret_off_the_neck_is_refused() -> None:
    """With a capo at 12 fret 15 would be fret 27."""
    with pytest.raises(GripError, match="needs fret 27"):
        finger(parse_grip("x-15-x-x-x-x"), make_neck(capo=12))


def test_open_strings_alone_need_no_finger() -> None:
    """All open: no holds, no effort of pressing, no stretch."""
    found = finger(parse_grip("000000"))
    assert found.holds == () and found.effort.raw == 0.0 and found.stretch_mm == 0.0


def test_a_partial_capo_counts_frets_from_each_stop() -> None:
    """With stops 0 2 2 2 0 0, fret 1 of string 5 and fret 3 of string 6 lie beside each other."""
    found = finger(parse_grip("31xxxx"), make_neck(capo=(0, 2, 2, 2, 0, 0)))
    assert (found.base, found.stretch_mm) == (3, 0.0)


def test_a_small_hand_is_warned_of_a_wide_grip() -> None:
    """Reach near the limit of the set hand: rest and a clinician are named, no diagnosis."""
    wide = parse_grip("x135xx")
    (told,) = finger(wide, hand=SMALL).cautions
    assert "stop if it hurts" in told and "clinician" in told
    assert finger(parse_grip("x02210"), hand=LARGE).cautions == ()


def test_effort_grows_as_the_hand_shrinks() -> None:
    """The same wide grip stretches a small hand most."""
    small, medium, large = (
        finger(parse_grip("1352xx"), hand=hand).effort.stretch for hand in (SMALL, MEDIUM, LARGE)
    )
    assert small > medium > large


def test_a_long_held_barre_is_cautioned() -> None:
    """Full barres on end for 20 seconds are told, with a break they are not."""
    full = (Barre("1", 1, 6, 1, "full"),)
    (told,) = chain_cautions([full] * 6, [4.0] * 6, [0.0] * 5, [4.0] * 5)
    assert "24 seconds" in told
    held = [full, full, full, (), full, full]
    assert chain_cautions(held, [4.0] * 6, [0.0] * 5, [4.0] * 5) == ()


def test_repeated_wide_shifts_at_tempo_are_cautioned() -> None:
    """Four shifts of 10 cm within eight quick changes; slow ones pass."""
    shifts = [100.0, -100.0] * 3
    quick = chain_cautions([()] * 7, [0.5] * 7, shifts, [0.5] * 6)
    slow = chain_cautions([()] * 7, [4.0] * 7, shifts, [4.0] * 6)
    assert "wide shifts" in quick[0] and slow == ()
