"""Hear: takes without a chart."""

from __future__ import annotations

import numpy as np
import pytest

from gripwright.errors import InputError
from gripwright.hearing.bands import RATE
from gripwright.hearing.beats import find_beats
from gripwright.hearing.draft import draft_lesson
from gripwright.hearing.handed import likely_chain, likely_grips
from gripwright.hearing.hear import HeardTake, hear
from gripwright.hearing.segments import group_strokes
from gripwright.hearing.sound import Heard
from gripwright.hearing.strokes import listen
from gripwright.lesson.text import parse
from gripwright.lesson.write import write_lesson
from gripwright.neck.grip import parse_grip
from gripwright.neck.tuning import STANDARD_NECK, make_neck, parse_tuning
from hearing_takes import FRONT, SONG, play, strummed


@pytest.fixture(scope="module")
def song() -> HeardTake:
    """Return what is heard of the song."""
    return hear(play(SONG).heard)


def test_chords_start_where_they_were_played(song: HeardTake) -> None:
    """The changes of the first part, to a hundredth or two."""
    changes = [0.5, 1.7, 2.9, 4.1]
    starts = np.array([chord.start_s for chord in song.chords])
    assert max(np.abs(starts - at).min() for at in changes) < 0.02


def test_most_grips_are_the_ones_played(song: HeardTake) -> None:
    """By the grip first named or the two after it."""
    want = ["x32010", "x02210", "xx0232"]
    for grip, chord in zip(want, song.chords, strict=False):
        assert grip in (chord.grip.text, *(also.text for also in chord.grips_also[:2]))


def test_beats_and_tempo(song: HeardTake) -> None:
    """At 100, half and double offered."""
    assert song.beats.tempo_bpm == pytest.approx(100, abs=2)
    assert {round(bpm / song.beats.tempo_bpm, 1) for bpm in song.beats.also_bpm} == {0.5, 2.0}


def test_a_bar_has_four_beats(song: HeardTake) -> None:
    """And the first downbeat is the first chord."""
    assert song.beats.beats_a_bar == 4
    assert song.beats.downbeats_s[0] == pytest.approx(0.5, abs=0.03)


def test_tuning_of_the_whole_and_of_strings(song: HeardTake) -> None:
    """The strings are at pitch."""
    assert abs(song.tuning_cents) < 3
    heard = [cents for cents in song.strings_cents if cents is not None]
    assert heard and max(map(abs, heard)) < 6


def test_the_draft_reads_back_as_it_was_written(song: HeardTake) -> None:
    """A lesson with a bar for each bar, its chords on their beats."""
    draft = draft_lesson(song, "Draft")
    parsed = parse(write_lesson(draft))
    assert parsed.lesson is not None, parsed.problems
    first = parsed.lesson.parts[0].bars[0].chords
    assert [float(event.offset) for event in first][:2] == [0.0, 2.0]
    assert parsed.lesson.parts[0].bars == draft.parts[0].bars


def test_a_draft_needs_beats() -> None:
    """One strum has none."""
    with pytest.raises(InputError, match="no steady beat"):
        draft_lesson(hear(strummed("x32010")), "One")


def test_a_lone_strum_is_named() -> None:
    """A minor sixth chord on the top strings."""
    (chord,) = hear(strummed("xx7978")).chords
    assert chord.grip == parse_grip("xx7978")
    assert chord.reading is not None and chord.reading.symbol is not None
    assert chord.reading.symbol.text == "Am6"


def test_another_tuning_changes_the_grip_not_the_pitches() -> None:
    """Open D: the same sound lies elsewhere on the neck."""
    neck = make_neck(parse_tuning("D2 A2 D3 F#3 A3 D4"))
    (chord,) = hear(strummed("000000", neck=neck), neck).chords
    assert chord.midi == (38, 45, 50, 54, 57, 62)
    assert chord.grip == parse_grip("000000")


def test_noise_holds_no_note() -> None:
    """And says so."""
    hiss = 0.1 * np.random.default_rng(2).standard_normal(3 * RATE).astype(np.float32)
    with pytest.raises(InputError, match="no note can be heard"):
        hear(Heard(hiss))


def test_the_plain_way_answers_too() -> None:
    """Fewer chords are right without the model, but it answers."""
    assert hear(strummed("x02210"), plain=True).chords


def test_likely_grips_prefer_the_easy_hand() -> None:
    """C major in first position before the same pitches far up the neck."""
    odds = np.full(58, -8.0)
    odds[[48 - 33, 52 - 33, 55 - 33, 60 - 33, 64 - 33]] = 6.0
    assert likely_grips(odds, STANDARD_NECK)[0].grip == parse_grip("x32010")


def test_no_string_no_grip() -> None:
    """Nothing sounds, nothing is held."""
    assert likely_grips(np.full(58, -8.0), STANDARD_NECK) == ()


def test_a_chain_keeps_the_hand_near() -> None:
    """Of two equal grips the one beside its neighbours is taken."""
    odds = np.full(58, -8.0)
    odds[[45 - 33, 52 - 33, 57 - 33, 60 - 33]] = 6.0
    held = likely_grips(odds, STANDARD_NECK)
    picks = likely_chain([held, held, held])
    assert len(set(picks)) == 1
    assert likely_chain([]) == []


def test_strokes_of_one_grip_stay_together() -> None:
    """Two strokes of C, two of A minor: two groups at the start."""
    stroked = listen(play(SONG).heard)
    groups = group_strokes(stroked)
    assert [(group.first, group.end) for group in groups[:2]] == [(0, 2), (2, 4)]


def test_six_eight_is_heard_in_two_and_offered_in_three() -> None:
    """Even eighths, a chord every six: 60 dotted quarters a minute, 90 quarters named too."""
    text = FRONT.replace("tempo: 100\nmetre: 4/4\norder: verse, bridge, verse\n",
                         "tempo: 60\nmetre: 6/8\nhand: roll\n")  # fmt: skip
    text += "```right-hand\nroll: 6/8\n| by 3 d d d d d d |\n```\n"
    text += "```part verse\n| x32010 | x02210 | xx0232 | 320003 | x32010 | 022000 |\n```\n"
    take = hear(play(text).heard)
    beats = take.beats
    assert beats.tempo_bpm == pytest.approx(60, rel=0.03)
    assert (beats.division, beats.beats_a_bar) == (3, 2)
    assert any(abs(bpm / 90 - 1) < 0.03 for bpm in beats.also_bpm)
    draft = draft_lesson(take, "Six")
    assert draft.metre.text == "6/8"
    assert [float(bar.chords[0].length) for bar in draft.parts[0].bars[:3]] == [3.0, 3.0, 3.0]


def test_too_few_strokes_have_no_beat() -> None:
    """One stroke is no rhythm."""
    stroked = listen(strummed("x32010"))
    assert find_beats(stroked, np.zeros(0)).beats_s == ()
