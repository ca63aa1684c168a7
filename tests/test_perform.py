"""From a lesson to what sounds.

The lessons are built by hand, so that every time and string can be counted on paper.
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from built import AM, FOUR, G5, bar, event, lesson, lick
from gripwright.beats import parse_metre
from gripwright.lesson.lick_sounds import heard_midi
from gripwright.lesson.model import Chord, Pattern, Stroke
from gripwright.lesson.perform import Feel, perform
from gripwright.lesson.right_hand import played_strings
from gripwright.lesson.sound import Sound
from gripwright.lesson.strikes import strikes, written_bars
from gripwright.lesson.swing import groove, swung
from gripwright.lesson.unroll import played_bars, played_events, total_quarters
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK, make_neck
from gripwright.theory.symbol import parse_symbol


def on(sounds: tuple[Sound, ...], string: int) -> list[tuple[F, F, int]]:
    """Return (start, length, midi) of the sounds on a string."""
    return [(s.start, s.length, s.midi) for s in sounds if s.string == string]


def test_a_chord_without_pattern_is_one_down_stroke() -> None:
    """Each sounding string once, bass side first, later by the strum's step."""
    sounds = perform(lesson(bar(event(0, 4))), strum_s=0.01)
    assert [(s.string, s.midi) for s in sounds] == [(5, 48), (4, 52), (3, 55), (2, 60), (1, 64)]
    assert [s.delay_s for s in sounds] == [0.0, 0.01, 0.02, 0.03, 0.04]
    assert {(s.start, s.length, s.attack, s.event) for s in sounds} == {(0, 4, "down", 0)}


def test_a_string_rings_until_it_is_struck_again_or_left() -> None:
    """C to Am keeps strings 4, 2 and 1 in place: unstruck they ring on, the others stop."""
    sounds = perform(lesson(bar(event(0, 2), event(2, 2, AM, struck=False))))
    assert on(sounds, 5) == [(0, 2, 48)] and on(sounds, 3) == [(0, 2, 55)]
    assert on(sounds, 4) == [(0, 4, 52)] and on(sounds, 1) == [(0, 4, 64)]
    again = perform(lesson(bar(event(0, 2), event(2, 2, AM))))
    assert on(again, 4) == [(0, 2, 52), (2, 2, 52)]


def test_a_rest_is_silence() -> None:
    """A rest ends what rings and sounds nothing."""
    sounds = perform(lesson(bar(event(0, 1), event(1, 2, None), event(3, 1))))
    assert on(sounds, 1) == [(0, 1, 64), (3, 1, 64)]


def test_a_push_sounds_early_and_cuts_the_chord_before() -> None:
    """Half a beat early over a barline; the event keeps its index."""
    sounds = perform(lesson(bar(event(0, 4)), bar(event(0, 4, AM, push=F(1, 2)))))
    assert on(sounds, 3) == [(0, F(7, 2), 55), (F(7, 2), F(9, 2), 57)]
    assert [s.event for s in sounds if s.string == 3] == [0, 1]


def test_a_pattern_is_laid_over_each_bar_and_a_long_one_goes_on() -> None:
    """A one-bar pattern starts anew in each bar, a two-bar one reaches its second half."""
    down = tuple(Stroke(F(at), F(1), "down") for at in (0, 3))
    one = Pattern("one", F(4), down)
    two = Pattern("two", F(8), (Stroke(F(0), F(4), "down"), Stroke(F(5), F(1), "up")))
    for pattern, starts in ((one, [0, 3, 4, 7, 8, 11]), (two, [0, 5, 8])):
        bars = [bar(event(0, 4), pattern=pattern) for _ in range(3)]
        assert [t for t, _, _ in on(perform(lesson(*bars)), 1)] == starts


def test_a_pushed_chord_takes_the_pattern_stroke_with_it() -> None:
    """The stroke on the barline moves; strokes under the push play the new chord."""
    eights = Pattern("e", F(4), tuple(Stroke(F(n, 2), F(1, 2), "down") for n in range(8)))
    bars = (bar(event(0, 4), pattern=eights), bar(event(0, 4, AM, push=F(1, 2)), pattern=eights))
    starts = {s.start: s.event for s in perform(lesson(*bars))}
    assert F(4) not in starts and starts[F(7, 2)] == 1 and starts[F(3)] == 0
    assert len(starts) == 15


def test_thumb_and_fingers_may_share_a_place() -> None:
    """Two lanes of a pattern sound together, each on its strings."""
    strokes = (Stroke(F(0), F(2), "pluck", (5,), ("p",)), Stroke(F(0), F(1), "pluck", (2, 1)))
    sounds = perform(lesson(bar(event(0, 4), pattern=Pattern("w", F(4), strokes))))
    assert [(s.string, s.start, s.delay_s) for s in sounds] == [(5, 0, 0), (2, 0, 0), (1, 0, 0)]


@pytest.mark.parametrize(
    ("grip", "stroke", "strings"),
    [
        ("x32010", Stroke(F(0), F(1), "down"), [5, 4, 3, 2, 1]),
        ("x32010", Stroke(F(0), F(1), "up", (1, 2, 3)), [1, 2, 3]),
        ("x32010", Stroke(F(0), F(1), "down", (6, 5)), [5]),
        ("xx0232", Stroke(F(0), F(1), "pluck", (5,)), [4]),
        ("355xxx", Stroke(F(0), F(1), "pluck", (6, 2, 1)), [6, 5, 4]),
        ("x32010", Stroke(F(0), F(1), "pluck", (), ("p", "i", "m", "a")), [5, 3, 2, 1]),
        ("3xxx03", Stroke(F(0), F(1), "pluck", (), ("p", "i", "m", "a")), [6, 2, 1]),
        ("320003", Stroke(F(0), F(1), "roll-down"), [1, 2, 3, 4, 5, 6]),
    ],
)
def test_a_stroke_finds_its_strings(grip: str, stroke: Stroke, strings: list[int]) -> None:
    """Strings that do not sound are replaced by the nearest; order follows the stroke."""
    sounding = soundings(parse_grip(grip), STANDARD_NECK)
    assert [s.string for s in played_strings(stroke, sounding)] == strings


def test_a_pickup_counts_from_the_end_of_a_bar() -> None:
    """A one-beat pickup plays the last beat of the pattern, unaccented by the metre."""
    strokes = (Stroke(F(0), F(1), "down"), Stroke(F(3), F(1), "up"))
    pattern = Pattern("p", F(4), strokes)
    song = lesson(
        bar(event(0, 1), length=1, pattern=pattern), bar(event(0, 4), pattern=pattern), pickup=F(1)
    )
    sounds = [s for s in perform(song) if s.string == 1]
    assert [(s.start, s.attack) for s in sounds] == [(0, "up"), (1, "down"), (4, "up")]
    assert sounds[1].velocity > sounds[0].velocity


def test_accents_and_ghosts_are_heard() -> None:
    """An accent is louder than a plain stroke, a ghost softer, downbeats lead."""
    strokes = (
        Stroke(F(0), F(1), "pluck"),
        Stroke(F(1), F(1), "pluck", accent=True),
        Stroke(F(2), F(1), "pluck"),
        Stroke(F(3), F(1), "pluck", ghost=True),
    )
    sounds = perform(lesson(bar(event(0, 4), pattern=Pattern("p", F(4), strokes))))
    first, accent, plain, ghost = (s.velocity for s in sounds if s.string == 1)
    assert 1 >= accent > first > plain > ghost > 0


def test_swing_moves_the_second_half_and_keeps_triplets() -> None:
    """Triplet swing puts 1/2 at 2/3 and 1/4 at 1/3; a written triplet stays."""
    for at, want in ((F(1, 2), F(2, 3)), (F(1, 4), F(1, 3)), (F(1, 3), F(1, 3)), (F(1), F(1))):
        assert swung(2 + at, FOUR, F(2, 3)) == 2 + want
    six = parse_metre("6/8")
    assert swung(F(1, 2), six, F(2, 3)) == F(1, 2)
    sounds = perform(lesson(bar(event(0, 4), notes=(lick(1.5, 0.5, 1, 5),)), swing=F(2, 3)))
    assert (F(5, 3), F(1, 3), 69) in on(sounds, 1)


@settings(max_examples=60)
@given(
    st.lists(st.fractions(0, 4, max_denominator=16), min_size=2, max_size=8),
    st.sampled_from([F(1, 2), F(3, 5), F(2, 3)]),
    st.sampled_from(["4/4", "7/8 = 2+2+3", "12/8", "2/2"]),
)
def test_swing_keeps_barlines_and_order_on_the_even_grid(
    places: list[F], swing: F, metre: str
) -> None:
    """Places that swing never overtake each other, and beats stay where they are."""
    read = parse_metre(metre)
    even = sorted(p for p in places if p < read.length and p.denominator % 3)
    assert sorted(moved := [swung(p, read, swing) for p in even]) == moved
    assert all(swung(start, read, swing) == start for start in read.beat_starts)


def test_repeats_are_unrolled_and_indexes_match_the_played_events() -> None:
    """Every sound of a chord names the played event that holds where it starts."""
    song = lesson(
        bar(event(0, 2), event(2, 2, AM), repeat_start=True),
        bar(event(0, 4, G5), endings=(1,), repeat_times=2),
        bar(event(0, 4, AM, push=F(1, 2)), endings=(2,)),
    )
    events = played_events(song)
    sounds = perform(song)
    assert {s.event for s in sounds} == set(range(len(events))) == set(range(6))
    for sound in sounds:
        assert sound.event is not None
        assert events[sound.event].sounds_at == sound.start
    assert max(s.end for s in sounds) == total_quarters(song) == 16


def test_lick_connections_ties_and_bends() -> None:
    """A tie lengthens, a slide and a pull-off go on, a bend and its release keep both pitches."""
    notes = (
        lick(0, 1, 2, 5),
        lick(1, 1, 2, 5, tied=True),
        lick(2, 0.5, 2, 8, "slide"),
        lick(2.5, 0.5, 2, 5, "pull"),
        lick(3, 0.5, 3, 7, "bend", bend=9),
        lick(3.5, 0.5, 3, 7, "release"),
    )
    sounds = perform(lesson(bar(event(0, 4, None), notes=notes)))
    assert on(sounds, 2) == [(0, 2, 64), (2, F(1, 2), 67), (F(5, 2), F(1, 2), 64)]
    assert [s.attack for s in sounds if s.string == 2] == ["pluck", "slide", "pull"]
    bent, released = (s for s in sounds if s.string == 3)
    assert (bent.midi, bent.bend_semitones) == (62, 2)
    assert (released.attack, released.midi, released.bend_semitones) == ("release", 62, 2)


def test_a_tie_goes_over_the_barline() -> None:
    """The tied half is not struck again."""
    bars = (
        bar(event(0, 4, None), notes=(lick(3, 1, 1, 3),)),
        bar(event(0, 4, None), notes=(lick(0, 2, 1, 3, tied=True),)),
    )
    assert on(perform(lesson(*bars)), 1) == [(3, 3, 67)]


def test_the_lick_has_the_string_and_let_ring_rings() -> None:
    """A chord's string is cut by a lick and not struck under it; let ring outlasts its step."""
    notes = (lick(1, 2, 1, 5), lick(3, 0.5, 3, 2, "let-ring"))
    eights = Pattern("e", F(4), tuple(Stroke(F(n), F(1), "down") for n in range(4)))
    sounds = perform(lesson(bar(event(0, 4), notes=notes, pattern=eights)))
    assert on(sounds, 1) == [(0, 1, 64), (1, 2, 69), (3, 1, 64)]
    assert on(sounds, 3)[-1] == (3, 8, 57)


@pytest.mark.parametrize(("fret", "midi"), [(12, 76), (7, 83), (5, 88), (9, 92), (4, 92), (3, 95)])
def test_natural_harmonics_sound_the_partials_of_the_open_string(fret: int, midi: int) -> None:
    """Partials 2 to 6 of E4 lie 12, 19, 24, 28 and 31 semitones up (harmonic series)."""
    assert heard_midi(lick(0, 1, 1, fret, "natural-harmonic"), STANDARD_NECK) == midi


def test_the_capo_and_given_grips_are_used() -> None:
    """Frets count from the capo; a chord without a grip takes the one given for its name."""
    neck = make_neck(capo=2)
    bare = Chord("Am", parse_symbol("Am"))
    song = lesson(bar(event(0, 4, bare)), neck=neck)
    assert perform(song) == ()
    given = perform(song, grips={"Am": parse_grip("x02210")})
    assert [s.midi for s in given] == [47, 54, 59, 62, 66]


def test_feel_is_seeded_and_bounded() -> None:
    """The same seed gives the same hand; strings of a strike stay in order."""
    song = lesson(bar(event(0, 2), event(2, 2, AM)))
    feel = Feel(time_s=0.01, loudness=0.05, seed=3)
    assert perform(song, feel=feel) == perform(song, feel=feel) != perform(song)
    assert all(0 < s.velocity <= 1 and s.delay_s >= 0 for s in perform(song, feel=feel))
    first = [s.string for s in perform(song, feel=feel) if s.start == 0]
    assert first == [5, 4, 3, 2, 1]


def test_the_groove_is_what_the_sound_follows() -> None:
    """Every strike falls where the groove puts its straight place."""
    pushed = event(2, 2, AM, push=F(1, 2))
    song = lesson(bar(event(0, 1), event(1, 1), pushed), swing=F(3, 5))
    moved = groove(song)
    straight = {strike.start for strike in strikes(tuple(played_bars(song)))}
    assert {moved.performed(at) for at in straight} == {s.start for s in perform(song)}
    assert F(3, 2) in straight and moved.performed(F(3, 2)) == F(8, 5)


def test_written_bars_come_once_each() -> None:
    """Parts and bars in the order of the file, without repeats."""
    song = lesson(bar(event(0, 4), repeat_times=3), bar(event(0, 4)))
    assert [(w.bar_index, w.start) for w in written_bars(song)] == [(0, 0), (1, 4)]
