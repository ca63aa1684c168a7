"""Letters of successions of chords.

The rules that these cases hold are those of open harmony textbooks (leading notes rise, flat
sixths fall, applied leading tones, augmented sixths open out, diminished sevenths by where they
go); how each is written here is common practice, no source.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.harmony.changes import named, read_changes
from gripwright.harmony.letter_bonds import Bond, bind, bonds_of
from gripwright.harmony.letter_signs import Sounds, roles_of, signs_of, sounds_of
from gripwright.harmony.letter_weights import (
    HIGHEST_NAME,
    HIGHEST_PLACE,
    LOWEST_NAME,
    LOWEST_PLACE,
    MODES,
    MOVES,
    ROLES,
    STATES,
    Sign,
    fitted,
    heard,
    note_of,
)
from gripwright.harmony.letters import Letters, _odds, _says, letters, letters_among
from gripwright.harmony.reading import readings
from gripwright.neck.grip import parse_grip
from gripwright.theory.pitch import Note, parse_note
from gripwright.theory.scale import MODES as SCALES
from gripwright.theory.scale import Key, parse_key
from gripwright.theory.symbol import parse_symbol

keys = st.builds(
    Key,
    st.sampled_from([note_of(fifths) for fifths in range(-4, 6)]),
    st.sampled_from(sorted(SCALES)),
)


def _names(found: Letters, midi: tuple[int, ...]) -> str:
    return " ".join(found.best(number).name for number in midi)


@settings(max_examples=100)
@given(keys)
def test_triads_of_the_scale_keep_its_letters(key: Key) -> None:
    """Every triad of the scale, alone in its key, is spelled as the key spells it."""
    for start in range(7):
        triad = [key.notes[(start + third) % 7] for third in (0, 2, 4)]
        found = letters_among(tuple(sorted(note.pc for note in triad)), key, None, None)
        assert [found.best(note.pc) for note in triad] == triad


@pytest.mark.parametrize(
    ("signs", "chords", "written"),
    [
        (0, ((59, 62, 65, 68), (60, 64, 67)), "B D F Ab"),  # a minor ninth falls to the fifth
        (0, ((59, 62, 65, 68), (57, 60, 64, 69)), "B D F G#"),  # a leading note rises
        (-3, ((56, 60, 63, 66), (55, 59, 62, 67)), "Ab C Eb F#"),  # an augmented sixth opens out
        (-3, ((56, 60, 63, 66), (61, 65, 68)), "Ab C Eb Gb"),  # a flat seventh falls
        (0, ((57, 61, 64, 67), (62, 65, 69)), "A C# E G"),  # an applied dominant
        (0, ((54, 57, 60, 63), (55, 59, 62)), "F# A C Eb"),  # an applied leading tone
        (0, ((53, 56, 60), (52, 55, 60)), "F Ab C"),  # a borrowed fourth
        (4, ((56, 59, 63), (57, 61, 64)), "G# B D#"),
        (-6, ((56, 59, 63), (58, 61, 66)), "Ab Cb Eb"),
        (5, ((58, 61, 64, 67), (59, 63, 66)), "A# C# E G"),  # the leading tone of B
    ],
)  # fmt: skip
def test_a_note_is_written_towards_where_it_goes(
    signs: int, chords: tuple[tuple[int, ...], ...], written: str
) -> None:
    """The first of two chords, near a signature."""
    found = letters([Sounds(chord) for chord in chords], [signs, signs])
    assert _names(found[0], chords[0]) == written


def test_what_comes_later_is_heard_too() -> None:
    """The same first chord is G sharp minor or A flat minor by what follows."""
    first = Sounds((56, 59, 63))
    sharps = [first, Sounds((57, 61, 64)), Sounds((59, 63, 66)), Sounds((52, 56, 59))]
    flats = [first, Sounds((55, 58, 63)), Sounds((58, 62, 65)), Sounds((55, 58, 63))]
    assert _names(letters(sharps, [0] * 4)[0], first.midi) == "G# B D#"
    assert _names(letters(flats, [0] * 4)[0], first.midi) == "Ab Cb Eb"


def test_letters_that_are_known_stay_and_speak() -> None:
    """A written G flat chord makes the B of its neighbour a C flat."""
    known = sounds_of(parse_symbol("Gb7"))
    found = letters([known, Sounds((59, 63, 66))], [0, 0])
    assert found[0].best(6) == parse_note("Gb")
    assert _names(found[1], (59, 63, 66)) == "Cb Eb Gb"


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.lists(st.integers(48, 72), min_size=2, max_size=4, unique=True), min_size=1,
             max_size=4),
    st.sampled_from([-7, 7, 5, -5, 2]), st.integers(-2, 2),
)  # fmt: skip
def test_an_octave_higher_nothing_changes(chords: list[list[int]], shift: int, signs: int) -> None:
    """Twelve half steps up the letters are the same, and the order of notes is nothing."""
    low = [Sounds(tuple(chord)) for chord in chords]
    high = [Sounds(tuple(midi + 12 for midi in reversed(chord))) for chord in chords]
    for one, other in zip(
        letters(low, [signs] * len(low)), letters(high, [signs] * len(high)), strict=True
    ):
        for pc in one.odds:
            assert one.odds[pc] == pytest.approx(other.odds[pc], rel=1e-6, abs=1e-9)


def test_the_passes_are_exact() -> None:
    """Odds of the states are those of a sum over all paths of three chords."""
    chords = [Sounds((60, 64, 67)), Sounds((59, 65, 67)), Sounds((61, 64, 69))]
    weights, near = fitted(), (0, 0, 0)
    signs = [signs_of(chords, index) for index in range(3)]
    says = [_says(chords, signs, near, index, weights) for index in range(3)]
    odds = _odds(says, weights)
    few = sorted(range(len(STATES)), key=lambda s: -odds[1][s])[:3]
    raw = [[2.718281828459045 ** (v - max(row)) for v in row] for row in says]
    sums = [
        sum(
            raw[0][a] * weights.steps[a][b] * raw[1][b] * weights.steps[b][c] * raw[2][c]
            for a in range(len(STATES))
            for c in range(len(STATES))
        )
        for b in range(len(STATES))
    ]
    for state in few:
        assert odds[1][state] == pytest.approx(sums[state] / sum(sums), rel=1e-9)


def test_moves_are_heard_in_their_own_register() -> None:
    """A note a half step off in another octave is no resolution, unless octaves are not known."""
    chord, far = Sounds((60, 66)), Sounds((60, 79))
    assert MOVES[signs_of([chord, far], 0)[1].move] == "none"
    assert MOVES[signs_of([chord, far._replace(placed=False)], 0)[1].move] == "rises"
    held = [chord, Sounds((66, 69)), Sounds((67, 71))]
    assert MOVES[signs_of(held, 0)[1].move] == "rises"


@pytest.mark.parametrize(
    ("chord", "goal", "bonds"),
    [((50, 54, 57), (50, 53, 57), {(2, 6, 4)}),  # D major, then D minor
     ((56, 60, 63, 66), (55, 59, 62, 67), {(8, 0, 4), (8, 6, 10)}),  # a German sixth
     ((56, 60, 63, 66), (61, 65, 68), {(8, 0, 4)}),  # a dominant seventh
     ((59, 62, 65, 68), (60, 64, 67), {(11, 2, -3), (11, 5, -6), (11, 8, -9)}),
     ((59, 62, 65, 68), (57, 60, 64), {(8, 11, -3), (8, 2, -6), (8, 5, -9)}),
     ((59, 62, 65, 68), (55, 60, 64), {(11, 2, -3), (11, 5, -6), (11, 8, -9)}),
     ((59, 62, 65, 68), (59, 62, 67), set())],
)  # fmt: skip
def test_notes_that_belong_together_are_bound(
    chord: tuple[int, ...], goal: tuple[int, ...], bonds: set[tuple[int, int, int]]
) -> None:
    """A major third, an augmented sixth, a diminished seventh above its leading tone."""
    chords = [Sounds(chord), Sounds(goal)]
    found = bonds_of(chords, 0, signs_of(chords, 0))
    assert {(bond.low, bond.high, bond.fifths) for bond in found} == bonds


def test_bound_notes_have_the_odds_of_their_pair() -> None:
    """The odds are those of the sum over all four pairs of letters, one of them bound."""
    d, f_sharp, g_flat = parse_note("D"), parse_note("F#"), parse_note("Gb")
    e_double_flat = parse_note("Ebb")
    odds = {2: {d: 0.75, e_double_flat: 0.25}, 6: {f_sharp: 0.5, g_flat: 0.5}}
    bound = bind(odds, [Bond(2, 6, 4, math.log(3))])
    total = 0.375 * 3 + 0.375 + 0.125 + 0.125 * 3
    assert bound[2][d] == pytest.approx((0.375 * 3 + 0.375) / total)
    assert bound[6][f_sharp] == pytest.approx((0.375 * 3 + 0.125) / total)
    assert sum(bound[6].values()) == pytest.approx(1.0)


def test_a_major_triad_claims_its_notes_first() -> None:
    """The third of C6 is a major third, not the fifth of A minor."""
    roles = roles_of(frozenset({0, 4, 7, 9}))
    assert (roles[4], roles[9]) == ("major third", "minor root")
    assert set(roles_of(frozenset({2, 5, 8, 11})).values()) == {"diminished seventh"}
    assert roles_of(frozenset({0, 1, 2})) == {}


@pytest.mark.parametrize(
    ("grip", "key", "after", "notes"),
    [
        ("4x444x", "E major", None, "G# F# B D#"), ("4x444x", "Gb major", None, "Ab Gb Cb Eb"),
        ("x4342x", "C major", "Cmaj7", "Db F Cb Db"), ("x2313x", "C major", "C", "B F Ab D"),
        ("x2313x", "C major", None, "B F Ab D"), ("x2313x", "A minor", "Am", "B F G# D"),
        ("x24442", "F# major", None, "B F# B D# F#"),
        ("244322", "Cb major", None, "Gb Db Gb Bb Db Gb"),
        ("x6664x", "Eb minor", None, "Eb Ab Db Eb"),
    ],
)  # fmt: skip
def test_a_grip_alone_is_spelled_in_its_key(
    grip: str, key: str, after: str | None, notes: str
) -> None:
    """As `name --key` gives it."""
    onward = parse_symbol(after) if after else None
    best = readings(parse_grip(grip), key=parse_key(key), after=onward)[0]
    assert " ".join(tone.note.name for tone in best.tones) == notes


def test_grips_of_changes_are_spelled_together() -> None:
    """The same diminished seventh twice, by where it goes; a written name keeps its letters."""
    for line, written in (
        ("x35553 x2313x x32010", "B F Ab D"), ("x32010 x2313x x02210", "B F G# D"),
        ("x32010 x2313x=Bdim7 x02210", "B F Ab D"),
    ):  # fmt: skip
        notes = named(read_changes(line))[1].notes
        assert " ".join(pitch.note.name for pitch in notes) == written


@pytest.mark.parametrize(
    ("line", "symbol"),
    [("x32010 x2313x x02210", "G#dim7/B"), ("x35553 x2313x x32010", "Bdim7"),
     ("x32010 x4535x xx0231", "C#dim7"), ("xx0232 xx1212 x02220", "D#dim7")],
)  # fmt: skip
def test_a_diminished_seventh_is_named_by_where_it_goes(line: str, symbol: str) -> None:
    """Before A minor it stands on G sharp; the common-tone one before A keeps its bass."""
    found = named(read_changes(line))[1].symbol
    assert found is not None
    assert found.text == symbol


def test_a_readable_root_has_no_double_sharp() -> None:
    """The seventh degree of G sharp minor is written G, unless strict."""
    grip, key, after = parse_grip("x-10-11-9-11-x"), parse_key("G# minor"), parse_symbol("G#m")
    plain = readings(grip, key=key, after=after)[0]
    assert all(abs(tone.note.alter) < 2 for tone in plain.tones)
    strict = readings(grip, key=key, after=after, strict=True)[0]
    assert strict.root.pc == plain.root.pc == 7


def test_the_table_is_whole() -> None:
    """Every row has a weight for every place, and shares of letters sum to one."""
    weights = fitted()
    places = HIGHEST_PLACE - LOWEST_PLACE + 1
    rows = (*weights.modes, *weights.moves, *weights.roles)
    assert len(rows) == len(MODES) + len(MOVES) + len(ROLES)
    assert {len(row) for row in rows} == {places}
    assert len(weights.names) == HIGHEST_NAME - LOWEST_NAME + 1
    assert all(sum(row) == pytest.approx(1) for row in weights.steps)
    told = heard(Sign(6, 1, 0), weights)
    assert all(sum(share for _, share in pairs) == pytest.approx(1) for pairs in told.shares)
    assert note_of(Note(3, 1).fifths) == Note(3, 1)
