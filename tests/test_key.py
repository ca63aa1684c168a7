"""Keys of changes: regions, modes, the exact path, and what is refused."""

from __future__ import annotations

import itertools
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.errors import InputError
from gripwright.harmony.facts import Facts, facts_of
from gripwright.harmony.key import Keys, find_keys
from gripwright.harmony.key_events import (
    Idiom,
    events_of,
    habit_of,
    idiom_of,
    lap_starts,
    section_edges,
)
from gripwright.harmony.key_path import best_path
from gripwright.harmony.key_weights import change_rows, states_of, table
from gripwright.theory.pitch import FLAT_NAMES
from gripwright.theory.scale import MODES, parse_key
from gripwright.theory.symbol import parse_symbol

# Changes that any musician hears in one key: common practice, no source.
PLAIN = [
    ("C Am F G C Am F G C", "C major"),
    ("Dm7 G7 Cmaj7 Dm7 G7 Cmaj7", "C major"),
    ("Am Dm E7 Am Am Dm E7 Am", "A minor"),
    ("Bm7b5 E7 Am Bm7b5 E7 Am", "A minor"),
    ("E A E B7 E A E B7 E", "E major"),
    ("A7 D7 A7 A7 D7 D7 A7 A7 E7 D7 A7 E7 A7", "A major"),
    ("Ebmaj7 Cm7 Fm7 Bb7 Ebmaj7 Cm7 Fm7 Bb7 Eb6", "Eb major"),
]


def chords(text: str) -> list[Facts | None]:
    """Return symbols, ``N`` for silence."""
    return [None if word == "N" else facts_of(parse_symbol(word)) for word in text.split()]


def names(keys: Keys) -> list[str]:
    """Return the names of the regions."""
    return [region.key.name for region in keys.regions]


@pytest.mark.parametrize(("text", "key"), PLAIN)
def test_plain_changes_have_one_key(text: str, key: str) -> None:
    """One region from the first chord to the last."""
    keys = find_keys(chords(text))
    assert names(keys) == [key]
    assert (keys.regions[0].start, keys.regions[0].end) == (0, len(text.split()))


def test_a_dorian_vamp_is_not_its_relative_major() -> None:
    """Two chords round and round, the minor one first: its IV is major, so it is Dorian."""
    assert names(find_keys(chords("Dm7 G7 " * 8))) == ["D dorian"]


def test_a_flat_seven_in_place_of_the_leading_note_is_mixolydian() -> None:
    """I bVII IV, the loop of many songs."""
    assert names(find_keys(chords("D C G D " * 4))) == ["D mixolydian"]


def test_a_song_that_moves_up_has_two_regions() -> None:
    """The boundary falls where the new key's chords begin, within a chord."""
    first, second = "C Am Dm G7 " * 4, "D Bm Em A7 " * 4
    keys = find_keys(chords(first + second))
    assert names(keys) == ["C major", "D major"]
    assert abs(keys.regions[1].start - 16) <= 1


def test_a_chain_of_two_five_ones_is_followed() -> None:
    """Three keys a whole step apart, three chords each."""
    keys = find_keys(chords("Gm7 C7 Fmaj7 Fm7 Bb7 Ebmaj7 Ebm7 Ab7 Dbmaj7"))
    assert names(keys) == ["F major", "Eb major", "Db major"]


# Changes with a second key, and where it starts: common practice, no source.
MOVED = [
    ("E A B E F Bb C F", ["E major", "F major"], 4),
    ("G C D7 G E7 A D E7 A", ["G major", "A major"], 4),
    ("G Em C D7 G A7 D Bm Em A7 D", ["G major", "D major"], 5),
    ("Fm7 Bbm7 Eb7 Abmaj7 Dbmaj7 Dm7 G7 Cmaj7", ["Ab major", "C major"], 5),
    ("Ebmaj7 Cm7 Fm7 Bb7 Ebmaj7 Cm7 Fm7 Bb7 Eb " + "E A B7 " * 3 + "E", ["Eb major", "E major"], 9),
]
# Vamps, and the mode on the chord that they turn about: common practice, no source.
VAMPS = [
    ("Am7 D9 Am7 D9", "A dorian"), ("Cm7 F7 Cm7 F7", "C dorian"), ("C D/C C D/C", "C lydian"),
    ("E F G F E", "E phrygian"), ("E F G F E F G F E", "E phrygian"), ("Em A Em A", "E dorian"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "keys", "start"), MOVED)
def test_a_confirmed_modulation_opens_a_region(text: str, keys: list[str], start: int) -> None:
    """It begins at the first chord of its cadence."""
    found = find_keys(chords(text))
    assert names(found) == keys and found.regions[1].start == start


@pytest.mark.parametrize(("text", "mode"), VAMPS)
def test_what_recurs_in_a_vamp_is_its_mode(text: str, mode: str) -> None:
    """No tonic that never sounds."""
    assert names(find_keys(chords(text))) == [mode]


# Changes that turn from minor to major on one tonic, and those that only borrow.
TURNED = [
    ("Am E7 Am E7 A D E7 A", ["A minor", "A major"]),
    ("C Am F G C Fm Cm Ab Fm G7 Cm", ["C major", "C minor"]),
    ("Am Dm E7 Am Dm E7 A", ["A minor"]), ("C Cm F G7 C", ["C major"]),
    ("C Fm C Fm C", ["C major"]), ("A7 D7 Am A7 D7 A7 E7 A7", ["A major"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "keys"), TURNED)
def test_a_tonic_that_turns_for_good_is_another_key(text: str, keys: list[str]) -> None:
    """Two visits home each way; one is a colour. Common practice, no source."""
    assert names(find_keys(chords(text))) == keys


# Few chords that are heard again higher at once, or that are framed by their own dominant.
FEW = [
    ("G D Em C A E F#m D", ["G major", "A major"]), ("C F G C D G A D", ["C major", "D major"]),
    ("E B C#m A F C Dm Bb", ["E major", "F major"]), ("C D G C", ["C major"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "keys"), FEW)
def test_few_chords_are_enough_where_they_are_plain(text: str, keys: list[str]) -> None:
    """Half of eight chords is known again a step up. Common practice, no source."""
    assert names(find_keys(chords(text))) == keys


# What a teacher hears, whole: common practice, no source.
HEARD = [
    ("Dm7b5 G7 Cm7 Dm7b5 G7 Cm6", ["C minor"]),
    ("Am7 D9 " * 4, ["A dorian"]),
    ("G F C G " * 4, ["G mixolydian"]),
    ("Am G F G " * 4, ["A minor"]),
    ("C7 F7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7 " * 2 + "C7", ["C major"]),
    ("Am Dm E7 Am Am Dm E7 Am C F G7 C C F G7 C C F G7 C", ["A minor", "C major"]),
    ("C Am F G " * 4 + "D Bm G A " * 3 + "D", ["C major", "D major"]),
    ("Em F Em F Em G F Em", ["E phrygian"]),
    ("Am G F E " * 4, ["A minor"]),
    ("Am Dm E7 Am Dm Am E7 A", ["A minor"]),
    ("Am7 D7 Gmaj7 Gm7 C7 Fmaj7 Fm7 Bb7 Ebmaj7", ["G major", "F major", "Eb major"]),
    ("Em Am B7 Em Gm Cm D7 Gm", ["E minor", "G minor"]),
    ("Em7 A7 Dm7 G7 Cmaj7", ["C major"]),
    ("Dm7 Db7 Cmaj7", ["C major"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "keys"), HEARD)
def test_keys_as_a_teacher_hears_them(text: str, keys: list[str]) -> None:
    """Cadences, loops, vamps, modal turns, bridges and chains."""
    assert names(find_keys(chords(text))) == keys


def test_a_cycle_of_thirds_is_followed_by_its_cadences() -> None:
    """Two-fives into keys a major third apart: each of the three is heard, and no other."""
    text = "Am7 D7 Gmaj7 Bb7 Ebmaj7 F#7 Bmaj7 Fm7 Bb7 Ebmaj7 Am7 D7 Gmaj7 C#m7 F#7 Bmaj7"
    found = {region.key.tonic.name for region in find_keys(chords(text)).regions}
    assert found <= {"G", "Eb", "B"} and len(found) > 1


def test_a_dominant_of_the_fifth_is_no_lydian() -> None:
    """II7 that goes to V each time: C major, or G major with its IV, and both are told."""
    keys = find_keys(chords("C D7 G C D7 G C"))
    assert {*names(keys), keys.also[0].key.name} == {"C major", "G major"}


@pytest.mark.parametrize(("text", "keys"), [("C G", ["C", "G"]), ("Am Em", ["A", "E"])])
def test_of_two_chords_the_first_and_both(text: str, keys: list[str]) -> None:
    """Where nothing else speaks, the chord that starts is home, and the other is told."""
    found = find_keys(chords(text))
    assert [found.regions[0].key.tonic.name, found.also[0].key.tonic.name] == keys


def test_regions_cover_the_changes_without_gap() -> None:
    """Each region starts where the one before it ends."""
    keys = find_keys(chords("N C F G C N " + "A D E A " * 4 + "N"))
    edges = [(region.start, region.end) for region in keys.regions]
    assert edges[0][0] == 0 and edges[-1][1] == 23
    assert all(one[1] == two[0] for one, two in itertools.pairwise(edges))


def test_a_given_key_is_not_questioned() -> None:
    """It holds throughout, and no other reading is told."""
    keys = find_keys(chords("C F G C"), key=parse_key("F lydian"))
    assert names(keys) == ["F lydian"] and keys.also == ()


def test_a_near_second_reading_is_told() -> None:
    """C and F alone may be I and IV or V and I."""
    keys = find_keys(chords("C F C F"))
    assert {*names(keys), keys.also[0].key.name} == {"C major", "F major"}


def test_lengths_have_no_unit() -> None:
    """Bars, beats or seconds: the same key."""
    text, lengths = "C Am F G C Am F G", [1, 1, 2, 2, 1, 1, 2, 2]
    tripled = find_keys(chords(text), [3 * length for length in lengths])
    assert tripled == find_keys(chords(text), lengths)


@pytest.mark.parametrize("text", [text for text, _ in PLAIN])
@settings(max_examples=11, deadline=None)
@given(shift=st.integers(1, 11))
def test_keys_move_with_the_chords(text: str, shift: int) -> None:
    """Every chord a step higher: every tonic a step higher, all else the same."""
    moved = [parse_symbol(word) for word in text.split()]
    names_up = [
        FLAT_NAMES[(s.root.pc + shift) % 12] + s.text.removeprefix(s.root.name) for s in moved
    ]
    one, two = find_keys(chords(text)), find_keys(chords(" ".join(names_up)))
    for before, after in zip(one.regions, two.regions, strict=True):
        assert (after.key.tonic.pc - before.key.tonic.pc - shift) % 12 == 0
        assert (after.key.mode, after.start, after.end) == (
            before.key.mode, before.start, before.end,
        )  # fmt: skip


def plain_search(
    rows: list[list[float]], changes: list[tuple[float, ...]], tolls: list[float]
) -> float:
    """Return the best sum over all paths, by looking at every pair of states."""
    best, states = list(rows[0]), range(len(changes))
    for row, toll in zip(rows[1:], tolls[1:], strict=True):
        best = [
            max(best[old] + changes[old][new] + toll * (old != new) for old in states) + row[new]
            for new in states
        ]
    return max(best)


@pytest.mark.parametrize("seed", range(6))
def test_the_path_is_the_best_there_is(seed: int) -> None:
    """The pruned programme reaches the sum of the plain one, tolls and all."""
    draw = random.Random(seed)
    changes = list(change_rows("songs" if seed % 2 else "parts", seed % 4))
    rows = [[draw.gauss(0, 12) for _ in changes] for _ in range(30)]
    tolls = [draw.choice([0.0, -5.0]) for _ in rows]
    path = best_path(rows, changes, tolls)
    steps = zip(itertools.pairwise(path), tolls[1:], strict=True)
    moves = sum(changes[one][two] + toll * (one != two) for (one, two), toll in steps)
    reached = sum(row[state] for row, state in zip(rows, path, strict=True)) + moves
    assert reached == pytest.approx(plain_search(rows, changes, tolls))


def test_every_key_change_costs_something() -> None:
    """No state is entered for nothing, whatever the habit."""
    for idiom in ("songs", "parts"):
        for habit in range(4):
            for old, row in enumerate(change_rows(idiom, habit)):  # type: ignore[arg-type]
                assert row[old] == 0
                assert all(cost < -0.5 for new, cost in enumerate(row) if new != old)


@pytest.mark.parametrize("idiom", ["songs", "parts"])
def test_the_table_is_whole(idiom: Idiom) -> None:
    """A weight for each state in every row; rows for chords, moves and the edges."""
    rows = table(idiom)["rows"]
    assert {len(row) for row in rows.values()} == {states_of(idiom)}
    for row in ("chord maj", "chord min7", "bass root", "long major", "move maj>5maj"):
        assert row in rows
    assert ("opens M" if idiom == "songs" else "first minor") in rows


def test_equal_neighbours_are_one_event() -> None:
    """What is struck again, and silence, lengthen the chord before."""
    events = events_of(chords("C C N F"), [1, 1, 1, 2])
    assert [(event.start, event.end, event.length) for event in events] == [(0, 3, 3), (3, 4, 2)]


def test_laps_of_a_loop() -> None:
    """A loop starts where a stretch is heard again at once."""
    assert lap_starts(list("xabcabcabcy")).count(True) == 3
    assert lap_starts(list("abcdefg")).count(True) == 0


def test_sections_open_and_close_where_stretches_part() -> None:
    """The same five chords after and before different ones."""
    opens, closes = section_edges(list("abcdexabcdey"))
    assert (opens, closes) == ({0, 6}, {4, 10})


def test_habit_grows_with_repetition() -> None:
    """A tune that never repeats is 0, a vamp 3."""
    assert habit_of(list("abcdefg")) == 0
    assert habit_of(list("ab" * 20)) == 3


def test_chorales_and_songs_are_told_apart() -> None:
    """Inverted chords without loops are parts; roots are a song."""
    parts = "C G/B C F/A G C/E F G C Am/C D/F# G D/F# G Em D G"
    assert idiom_of(events_of(chords(parts), [1.0] * 17)) == "parts"
    assert idiom_of(events_of(chords("C Am F G " * 5), [1.0] * 20)) == "songs"


def test_inverted_chords_that_go_round_are_a_song() -> None:
    """A verse of ten chords over a walking bass, heard again, for all that its moves are many."""
    verse = "C G/B Am Am/G F C/E Dm G F/A G "
    assert idiom_of(events_of(chords(verse * 2), [1.0] * 20)) == "songs"


@pytest.mark.parametrize(
    ("text", "lengths", "field"),
    [("", None, "chords"), ("N N", None, "chords"), ("C F", [1.0], "lengths"),
     ("C F", [1.0, 0.0], "lengths"), ("C F", [1.0, float("nan")], "lengths"),
     ("C F", [1.0, float("inf")], "lengths")],
)  # fmt: skip
def test_what_has_no_key_is_refused(text: str, lengths: list[float] | None, field: str) -> None:
    """No chords, or lengths that are none."""
    with pytest.raises(InputError) as caught:
        find_keys(chords(text), lengths)
    assert caught.value.field == field and caught.value.remedy


def test_modes_are_those_of_the_theory() -> None:
    """Every mode a region may be in is one of the scale module's."""
    found = {names(find_keys(chords(text)))[0].split()[1] for text, _ in PLAIN}
    assert found and found <= set(MODES)


def test_a_key_a_chord_makes_regions_of_runs() -> None:
    """What is stated holds, what is left open is found, and silence goes along."""
    flat, home = parse_key("Ab major"), parse_key("F major")
    stated = [home, home, None, flat, flat, None, None, None]
    keys = find_keys(chords("F C N Ab Db G7 C F"), key=stated)
    assert [(r.key.name, r.start, r.end) for r in keys.regions] == [
        ("F major", 0, 3), ("Ab major", 3, 5), ("C major", 5, 8),
    ]  # fmt: skip


def test_as_many_keys_as_chords() -> None:
    """Or one for all."""
    with pytest.raises(InputError, match="3 chords and 1 keys"):
        find_keys(chords("C F C"), key=[parse_key("C major")])


# What is typed first is often a loop heard once.
ONCE = [
    ("Am F C G", {"A minor", "C major"}),
    ("Bm G D A", {"B minor", "D major"}),
    ("Em C G D", {"E minor", "G major"}),
    ("Dm Bb F C", {"D minor", "F major"}),
    ("Cm Ab Eb Bb", {"C minor", "Eb major"}),
    ("F#m D A E", {"F# minor", "A major"}),
    ("C G Am F", {"C major"}),
    ("C Am Dm G", {"C major"}),
    ("F Dm Gm C", {"F major"}),
    ("Em D C B7", {"E minor"}),
    ("Am G F E7", {"A minor"}),
    ("C F Fm C", {"C major"}),
    ("G B7 C Cm", {"G major"}),
    ("C E7 F G", {"C major"}),
    ("C A7 D7 G7", {"C major"}),
    ("C Abmaj7 Bb C", {"C major"}),
    ("Dm7 G7 Em7 A7", {"C major", "D minor"}),
    ("Am7 D7 Gmaj7 Cmaj7", {"G major"}),
    ("A C D A", {"A major"}),
]


@pytest.mark.parametrize(("text", "accepted"), ONCE)
def test_a_loop_heard_once_has_one_key(text: str, accepted: set[str]) -> None:
    """Four chords are too few to change key in. Common practice, no source."""
    assert len(names(find_keys(chords(text)))) == 1
    assert names(find_keys(chords(text)))[0] in accepted


@pytest.mark.parametrize("text", [text for text, _ in ONCE])
def test_a_second_reading_is_one_a_listener_could_hold(text: str) -> None:
    """It holds most of the chords: three in four, or over half with its own tonic chord heard."""
    heard = chords(text)
    for region in find_keys(heard).also:
        notes = {note.pc for note in region.key.notes}
        notes |= {(region.key.tonic.pc + 11) % 12} if "minor" in region.key.name else set()
        fits = sum(chord is not None and chord.pcs <= notes for chord in heard) / len(heard)
        home = any(chord is not None and chord.root == region.key.tonic.pc for chord in heard)
        assert fits >= 0.75 or (home and fits > 0.5), region.key.name
