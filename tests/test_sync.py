"""Sync: a lesson laid on takes whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest

from gripwright.errors import InputError
from gripwright.hearing.bands import RATE
from gripwright.hearing.chart import chart_of
from gripwright.hearing.check import SAID, doubted, extra_chance, missing_chance
from gripwright.hearing.follow import follow_heard
from gripwright.hearing.sound import Heard
from gripwright.hearing.sync import sync
from gripwright.lesson.timing_file import with_correction
from hearing_takes import FRONT, SONG, lesson_of, play

OTHER = FRONT + "```part verse\n| 466544 / 244322 / | x46664 _ 4x344x _ |\n```\n"
OTHER = OTHER.replace("order: verse, bridge, verse\n", "")
WALK = (
    FRONT.replace("order: verse, bridge, verse\n", "hand: walk\n")
    + """
```right-hand
walk: 4/4
thumb    | p _ p _ |
fingers  | . i+m+a . i+m+a |
```

```part verse
| x32010 | x02210 | xx0232 | 320003 |
lick | | | . . 12on1 _ | |
```
"""
)


def offsets(starts_s: tuple[float, ...], events: tuple) -> np.ndarray:
    """Return by how much each event's place is off, in seconds."""
    return np.abs([event.start_s - at for event, at in zip(events, starts_s, strict=True)])


def test_every_event_is_placed_to_a_hundredth() -> None:
    """Median 10 ms and none beyond 40."""
    made = play(SONG)
    synced, _ = sync(made.lesson, made.heard)
    off = offsets(made.starts_s, synced.events)
    assert np.median(off) < 0.010
    assert off.max() < 0.040
    assert [event.index for event in synced.events] == list(range(18))


def test_tempo_tuning_and_order_are_told() -> None:
    """The take is at 100, at pitch, in order."""
    made = play(SONG)
    synced, _ = sync(made.lesson, made.heard)
    assert synced.tempo_bpm == pytest.approx(100, abs=1)
    assert abs(synced.tuning_cents) < 3
    assert [part for part, _ in synced.order] == ["verse", "bridge", "verse"]
    assert (synced.skipped, synced.repeated) == ((), ())


@pytest.mark.parametrize(
    ("order", "skipped", "repeated"),
    [
        (("verse", "verse"), ("bridge",), ()),
        (("verse", "bridge", "bridge", "verse"), (), ("bridge",)),
    ],
)
def test_another_order_is_followed_and_said(
    order: tuple[str, ...], skipped: tuple[str, ...], repeated: tuple[str, ...]
) -> None:
    """A part left out, a part played again."""
    made = play(SONG, order)
    synced, _ = sync(made.lesson, made.heard)
    assert tuple(part for part, _ in synced.order) == order
    assert (synced.skipped, synced.repeated) == (skipped, repeated)
    assert np.median(offsets(made.starts_s, synced.events)) < 0.010


def test_a_slow_version_is_followed() -> None:
    """At 60 of 100 beats a minute."""
    made = play(SONG, None, 0.6)
    synced, _ = sync(made.lesson, made.heard)
    assert synced.tempo_bpm == pytest.approx(60, abs=1)
    assert offsets(made.starts_s, synced.events).max() < 0.040


def test_talk_and_a_count_in_before_are_no_chords() -> None:
    """Two seconds of clicks and hiss come first."""
    made = play(SONG)
    rng = np.random.default_rng(5)
    before = 0.02 * rng.standard_normal(2 * RATE).astype(np.float32)
    for beat in range(4):
        before[beat * RATE // 2 : beat * RATE // 2 + 300] += 0.4 * rng.standard_normal(300)
    heard = Heard(np.concatenate([before.astype(np.float32), made.heard.samples]))
    synced, _ = sync(made.lesson, heard)
    moved = tuple(at + 2.0 for at in made.starts_s)
    assert offsets(moved, synced.events).max() < 0.040


def test_the_plain_way_follows_a_clean_take() -> None:
    """Without the learned model."""
    made = play(SONG)
    synced, _ = sync(made.lesson, made.heard, plain=True)
    assert np.median(offsets(made.starts_s, synced.events)) < 0.015


def test_another_song_does_not_match() -> None:
    """And the evidence is given."""
    with pytest.raises(InputError, match=r"does not match the lesson: .+"):
        sync(lesson_of(OTHER), play(SONG).heard)


def test_noise_does_not_match() -> None:
    """Three seconds of hiss."""
    hiss = 0.1 * np.random.default_rng(2).standard_normal(3 * RATE).astype(np.float32)
    with pytest.raises(InputError, match="does not match"):
        sync(lesson_of(SONG), Heard(hiss))


def test_a_lesson_without_chords_is_refused() -> None:
    """There is nothing to listen for."""
    with pytest.raises(InputError, match="no chord to listen for"):
        chart_of(lesson_of(FRONT.replace("order: verse, bridge, verse\n", "")
                           + "```part verse\n| rest |\n```\n"))  # fmt: skip


def test_a_wrong_chart_is_contradicted() -> None:
    """The chart says C minor where C major is played: E flat missing, E foreign."""
    made = play(SONG)
    wrong = lesson_of(SONG.replace("| x32010 / x02210 /", "| x35543 / x02210 /"))
    synced, stroked = sync(wrong, made.heard)
    found = doubted(chart_of(wrong), stroked, synced.events)
    places = {synced.events[d.place].index for d in found}
    assert places and places <= {0, 1, 12, 13}
    assert all(d.probability >= SAID for d in found)


def test_a_right_chart_is_left_alone() -> None:
    """No finding where what is played is what is written."""
    made = play(SONG)
    synced, stroked = sync(made.lesson, made.heard)
    assert len(doubted(chart_of(made.lesson), stroked, synced.events)) <= 1


def test_a_hand_that_begins_with_a_lone_thumb_is_followed() -> None:
    """Every chord from its thumb stroke on; the string that is never plucked is not missed."""
    made = play(WALK)
    followed = follow_heard(made.lesson, made.heard)
    assert offsets(made.starts_s, followed.synced.events).max() < 0.040
    assert followed.doubts == ()


def test_what_is_expected_is_what_is_struck() -> None:
    """The thumb first, the fingers later, string 4 never, the lick over the chord beside."""
    first, _, third, _ = chart_of(lesson_of(WALK)).expected
    assert (first.midi, first.first) == ((48, 55, 60, 64), (48,))
    assert 52 in first.also
    assert dict(zip(first.midi, first.share, strict=True)) == {48: 1, 55: 0.75, 60: 0.75, 64: 0.75}
    assert 76 in third.also


def test_a_late_first_stroke_is_expected_when_it_comes() -> None:
    """A pattern that opens with a rest: the chord is expected at its first stroke."""
    text = FRONT.replace("order: verse, bridge, verse\n", "hand: late\n")
    text += "```right-hand\nlate: 4/4\n| . d d d |\n```\n```part verse\n| x32010 | x02210 |\n```\n"
    assert [float(e.start) for e in chart_of(lesson_of(text)).expected] == [1.0, 5.0]


def test_evidence_moves_the_chances_the_right_way() -> None:
    """The surer a note sounds, the less likely it is missing and the likelier it is extra."""
    assert missing_chance(-6) > missing_chance(0) > missing_chance(6)
    assert extra_chance(6) > extra_chance(0) > extra_chance(-6)


def test_a_correction_by_hand_survives() -> None:
    """A new sync of the same take keeps it; one of another take does not."""
    made = play(SONG)
    first = follow_heard(made.lesson, made.heard, sha256="a")
    moved = with_correction(first.timing, 3, first.timing.events[3].start_s + 0.05)
    again = follow_heard(made.lesson, made.heard, sha256="a", old=moved)
    other = follow_heard(made.lesson, made.heard, sha256="b", old=moved)
    assert again.timing.events[3].by == "hand"
    assert again.timing.events[3].start_s == moved.events[3].start_s
    assert other.timing.events[3].by == "sync"


def test_cues_and_tempo_map_agree() -> None:
    """The pictures' cues start where the map puts the events."""
    made = play(SONG)
    followed = follow_heard(made.lesson, made.heard)
    starts = [start for start, _, _ in followed.cues]
    assert starts == sorted(starts)
    assert followed.cues[0][2] is not None
    assert followed.tempo_map.seconds(followed.chart.expected[2].start) == pytest.approx(
        followed.cues[2][0], abs=0.01
    )
