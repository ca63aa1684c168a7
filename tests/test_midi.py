"""MIDI out and in. mido reads what is written; a file made byte by byte is read back."""

from __future__ import annotations

import io
import struct
from fractions import Fraction as F
from pathlib import Path

import mido
import music21
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from built import AM, G5, bar, event, lesson, lessons, lick
from gripwright.beats import parse_metre
from gripwright.errors import InputError
from gripwright.formats.midi import TICKS, bar_signature, write_midi
from gripwright.formats.midi_read import read_midi
from gripwright.lesson.model import Lesson, Part
from gripwright.lesson.perform import perform
from gripwright.neck.tuning import make_neck, parse_tuning
from gripwright.theory.scale import parse_key


def opened(data: bytes) -> mido.MidiFile:
    """Return a file as mido reads it."""
    return mido.MidiFile(file=io.BytesIO(data), charset="utf-8")


def strikes(data: bytes) -> list[tuple[int, int]]:
    """Return (tick, key) of every note that mido finds, in order."""
    found = []
    for track in opened(data).tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                found.append((now, message.note))
    return sorted(found)


@settings(max_examples=60, deadline=None)
@given(lessons(), st.sampled_from([F(1, 2), F(2, 3), F(3, 5)]))
def test_mido_reads_the_notes_of_the_performance(song: Lesson, swing: F) -> None:
    """Every struck string is there at its tick, the strum's seconds included."""
    song = Lesson("x", metre=song.metre, swing=swing, parts=song.parts, order=song.order)
    a_second = float(song.tempo_bpm * song.metre.beats[0]) / 60 * TICKS
    expected = sorted(
        (round(s.start * TICKS) + round(s.delay_s * a_second), s.midi) for s in perform(song)
    )
    assert strikes(write_midi(song)) == expected


def test_music21_reads_the_same_pitches() -> None:
    """Another reader finds the same keys, string by string."""
    song = lesson(bar(event(0, 4)), bar(event(0, 4, AM, push=F(1, 2))))
    read = music21.converter.parse(write_midi(song), format="midi")
    struck = [n for n in read.recurse().notes if n.tie is None or n.tie.type == "start"]
    keys = sorted(pitch.midi for n in struck for pitch in n.pitches)
    assert keys == sorted(sound.midi for sound in perform(song))


def test_every_note_ends_before_its_string_is_struck_again() -> None:
    """On one channel a key never sounds twice, and nothing is left hanging."""
    song = lesson(bar(event(0, 0.5), event(0.5, 0.5), event(1, 3, AM)))
    for track in opened(write_midi(song)).tracks[1:]:
        held: set[int] = set()
        for message in track:
            if message.type == "note_on":
                assert not held
                held.add(message.note)
            elif message.type == "note_off":
                held.remove(message.note)
        assert not held


def test_the_first_track_has_title_tempo_metres_markers_and_names() -> None:
    """Flats and other signs survive as UTF-8; a short bar has its own metre."""
    parts = (
        Part("Vers ♭", (bar(event(0, 1, AM), length=1), bar(event(0, 4, AM)))),
        Part("Coda", (bar(event(0, 3), metre=parse_metre("6/8"), length=3),), parse_key("Bb")),
    )
    song = Lesson("Träume ♯", F(120), key=parse_key("A minor"), parts=parts,
                  order=("Vers ♭", "Coda"), pickup=F(1))  # fmt: skip
    first = list(opened(write_midi(song)).tracks[0])
    assert first[0].name == "Träume ♯"
    assert [m.tempo for m in first if m.type == "set_tempo"] == [500_000]
    times = [(m.numerator, m.denominator) for m in first if m.type == "time_signature"]
    assert times == [(1, 4), (4, 4), (6, 8)]
    assert [m.text for m in first if m.type == "marker"] == ["Vers ♭", "Coda"]
    assert [m.text for m in first if m.type == "text"] == ["Am", "Am", "C"]
    assert [m.key for m in first if m.type == "key_signature"] == ["Am", "Bb"]


def test_each_string_is_a_track_in_its_tuning() -> None:
    """Eight strings avoid the channel of the drums; the dropped string sounds low."""
    neck = make_neck(parse_tuning("F#1 B1 E2 A2 D3 G3 B3 E4"))
    song = lesson(bar(event(0, 4, None), notes=(lick(0, 1, 8, 0), lick(1, 1, 1, 3))), neck=neck)
    file = opened(write_midi(song))
    assert [t.name for t in file.tracks][1:3] == ["string 8 (F#1)", "string 7 (B1)"]
    channels = {m.channel for t in file.tracks for m in t if m.type == "note_on"}
    assert channels == {7, 0} and strikes(write_midi(song)) == [(0, 30), (TICKS, 67)]


def test_a_bend_moves_the_wheel_of_its_string_and_comes_back() -> None:
    """Two semitones of a range of twelve are a sixth of the wheel; the end is the middle."""
    notes = (lick(0, 1, 3, 7, "bend", bend=9), lick(1, 1, 3, 7, "release"), lick(2, 1, 3, 5))
    file = opened(write_midi(lesson(bar(event(0, 4, None), notes=notes))))
    wheel = [m.pitch for t in file.tracks for m in t if m.type == "pitchwheel"]
    assert max(wheel) == round(8191 / 6) and wheel[-1] == 0


def test_swing_and_repeats_are_played() -> None:
    """A repeated swung bar sounds twice, its off-beats late."""
    song = lesson(bar(event(0, 0.5, G5), event(0.5, 3.5, G5), repeat_times=2), swing=F(2, 3))
    low = [tick for tick, key in strikes(write_midi(song)) if key == 43]
    assert low == [0, 640, 3840, 4480]


@pytest.mark.parametrize(
    ("length", "metre", "want"),
    [("4", "4/4", (4, 4)), ("3/2", "4/4", (3, 8)), ("1", "6/8", (2, 8)), ("1/4", "4/4", (1, 16))],
)
def test_a_short_bar_has_a_metre_of_its_length(
    length: str, metre: str, want: tuple[int, int]
) -> None:
    """The unit is made finer until the bar counts whole."""
    assert bar_signature(F(length), parse_metre(metre)) == want


def test_what_is_written_is_read_as_notes() -> None:
    """Title, names, metres, tempo and exact times come back."""
    song = lesson(bar(event(0, 4, None), notes=(lick(0, "4/3", 1, 5), lick("4/3", 1, 2, 5))))
    read = read_midi(write_midi(song))
    assert [(n.start, n.length, n.midi) for n in read.notes] == [
        (0, F(4, 3), 69), (F(4, 3), 1, 64),
    ]  # fmt: skip
    assert read.parts == ("string 2 (B3)", "string 1 (E4)") and read.title == "x"
    assert read.metres[0][1].text == "4/4" and float(read.tempos[0][1]) == pytest.approx(90)


def plain_file(*events: bytes, division: int = 96) -> bytes:
    """Return a type-0 file of raw events, by the Standard MIDI File 1.0 specification."""
    track = b"".join(events) + b"\x00\xff\x2f\x00"
    head = b"MThd" + struct.pack(">IHHH", 6, 0, 1, division)
    return head + b"MTrk" + struct.pack(">I", len(track)) + track


def test_a_file_made_byte_by_byte_is_read(tmp_path: Path) -> None:
    """Running status, velocity 0 as an end, drums left out, bars counted from the metre."""
    data = plain_file(
        b"\x00\xff\x58\x04\x03\x02\x18\x08",  # 3/4
        b"\x00\x90\x3c\x40", b"\x60\x3c\x00",  # C4 for a quarter, by running status
        b"\x00\x99\x24\x40", b"\x60\x89\x24\x40",  # a drum
        b"\x60\x90\x40\x40", b"\x81\x40\x80\x40\x00",  # E4 for two quarters
    )  # fmt: skip
    (tmp_path / "a.mid").write_bytes(data)
    read = read_midi(tmp_path / "a.mid")
    assert [(n.start, n.length, n.midi) for n in read.notes] == [(0, 1, 60), (3, 2, 64)]
    assert read.bars == (0, 3) and read.end == 5


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "MIDI"),
        (b"RIFF....", "MIDI"),
        (plain_file(b"\x00\x90\x3c\x40")[:-6], "MIDI"),
        (plain_file(division=0), "quarters"),
        (plain_file(division=0xE728), "frames"),
    ],
)
def test_what_is_no_midi_file_is_told(data: bytes, words: str) -> None:
    """Nothing, noise, a cut-off file and a file in seconds raise in words."""
    with pytest.raises(InputError, match=words):
        read_midi(data)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=200), st.booleans())
def test_noise_never_breaks_the_reader(noise: bytes, as_track: bool) -> None:
    """Any bytes are notes or a clear error."""
    data = plain_file(noise) if as_track else noise
    try:
        read = read_midi(data)
    except InputError as error:
        assert error.remedy
    else:
        assert all(note.length > 0 for note in read.notes)


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    """The name stands in the message."""
    with pytest.raises(InputError, match=r"no\.mid cannot be opened"):
        read_midi(tmp_path / "no.mid")
