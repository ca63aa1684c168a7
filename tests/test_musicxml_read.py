"""Reading MusicXML from outside. music21's corpus and its own writer are the outside truth."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Callable
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import music21
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gripwright.errors import InputError
from gripwright.formats.midi_read import read_midi
from gripwright.formats.musicxml_read import read_musicxml
from gripwright.formats.notes import NoteList

HEAD = '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Piano</part-name>'
HEAD += '</score-part></part-list><part id="P1">'


def note(step: str, octave: int, length: int, *more: str) -> str:
    """Return a note; ``more`` are elements before (chord) and after its pitch."""
    before = "".join(m for m in more if m == "<chord/>")
    after = "".join(m for m in more if m != "<chord/>")
    pitch = f"<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
    return f"<note>{before}{pitch}<duration>{length}</duration>{after}</note>"


def score(*measures: str) -> bytes:
    """Return a score of one part with two divisions a quarter."""
    first = "<attributes><divisions>2</divisions></attributes>"
    body = "".join(
        f'<measure number="{n}">{first if n == 1 else ""}{m}</measure>'
        for n, m in enumerate(measures, 1)
    )
    return f"{HEAD}{body}</part></score-partwise>".encode()


def places(read: NoteList) -> list[tuple[F, F, int]]:
    """Return (start, length, midi) of every note."""
    return [(n.start, n.length, n.midi) for n in read.notes]


def test_chords_backup_and_ties_are_placed() -> None:
    """A chord shares its start, backup goes back, a tie over the barline is one note."""
    tie_on, tie_off = '<tie type="start"/>', '<tie type="stop"/>'
    read = read_musicxml(
        score(
            note("C", 4, 4) + note("E", 4, 4, "<chord/>") + note("G", 4, 4, tie_on)
            + "<backup><duration>8</duration></backup><forward><duration>2</duration></forward>"
            + note("C", 3, 6, "<voice>2</voice><staff>2</staff>"),
            note("G", 4, 4, tie_off),
        )
    )  # fmt: skip
    assert places(read) == [(0, 2, 60), (0, 2, 64), (1, 3, 48), (2, 4, 67)]
    assert read.bars == (0, 4) and read.parts == ("Piano",)
    assert [n.staff for n in read.notes] == [1, 1, 2, 1]


def test_grace_and_unpitched_notes_are_left_out_and_transposition_sounds() -> None:
    """A clarinet part a tone higher comes down; spelling is left open then."""
    transpose = (
        "<attributes><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
        "</attributes>"
    )
    grace = "<note><grace/><pitch><step>D</step><octave>5</octave></pitch></note>"
    drum = "<note><unpitched/><duration>2</duration></note>"
    read = read_musicxml(score(transpose + grace + drum + note("D", 4, 2)))
    assert places(read) == [(1, 1, 60)] and read.notes[0].spelling is None


@pytest.mark.parametrize("work", ["bach/bwv66.6", "schoenberg/opus19/movement2", "luca/gloria"])
def test_music21_finds_the_same_notes_in_scores_of_its_corpus(work: str) -> None:
    """Chorale, piano piece and mensural parts: same onsets and keys, ties joined."""
    theirs: Any = music21.corpus.parse(work)
    path = Path(music21.corpus.getWork(work))
    ours = {(n.part, n.start, n.midi) for n in read_musicxml(path).notes}
    parts: dict[str, int] = {}
    expected = set()
    for part in theirs.parts:
        index = parts.setdefault(part.id.split("-Staff")[0], len(parts))
        sounding = part.toSoundingPitch()
        for item in sounding.flatten().notes:
            if item.duration.isGrace or isinstance(item, music21.harmony.ChordSymbol):
                continue
            for one in item.notes if item.isChord else [item]:
                if one.tie is None or one.tie.type == "start":
                    at = F(item.offset).limit_denominator(1920)
                    expected.add((index, at, one.pitch.midi))
    assert len(expected) > 90 and ours == expected


def test_compressed_and_timewise_scores_are_read() -> None:
    """A .mxl with its container, and a score by measures, hold the same note."""
    plain = score(note("C", 4, 2))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        where = '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>'
        archive.writestr("META-INF/container.xml", where)
        archive.writestr("a.xml", plain)
    timewise = (
        '<score-timewise><measure number="1"><part id="P1"><attributes><divisions>2</divisions>'
        f"</attributes>{note('C', 4, 2)}</part></measure></score-timewise>"
    ).encode()
    for data in (plain, packed.getvalue(), timewise):
        assert places(read_musicxml(data)) == [(0, 1, 60)]


def test_metre_tempo_and_title_are_read() -> None:
    """Additive metres keep their groups."""
    extra = (
        "<attributes><time><beats>2+2+3</beats><beat-type>8</beat-type></time></attributes>"
        '<direction><direction-type><words>x</words></direction-type><sound tempo="96.5"/>'
        "</direction>"
    )
    read = read_musicxml(score(extra + note("C", 4, 7)))
    assert read.metres[0][1].text == "7/8 = 2+2+3" and read.tempos == ((0, F("96.5")),)


def test_entities_are_not_followed(tmp_path: Path) -> None:
    """A document that asks for another file gets nothing of it."""
    (tmp_path / "secret").write_text("C")
    evil = (
        f'<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file://{tmp_path}/secret">]>'
        + score(note("&x;", 4, 2)).decode()
    )
    with pytest.raises(InputError, match="entities, which are never followed"):
        read_musicxml(evil.encode())


BOMB = "<!DOCTYPE a [<!ENTITY a0 'x'>" + "".join(
    f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 12)
) + "]><a>&a11;</a>"  # fmt: skip


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no MusicXML"),
        (b"just words", "no MusicXML"),
        (b"<html/>", "first element is 'html'"),
        (score(note("C", 4, 2))[:-40], "no MusicXML"),
        (b"PK\x03\x04 broken", "packing is damaged"),
        (score("<note><pitch><step>C</step></pitch><duration>2</duration></note>"), "no number"),
        (score("<note><rest/><duration>nan</duration></note>"), "'nan' is no number"),
        (score("<attributes><divisions>0</divisions></attributes>"), "above 0"),
        (BOMB.encode(), "no MusicXML"),
    ],
)
def test_what_is_no_score_is_told(data: bytes, words: str) -> None:
    """Each says what is wrong, with the line where there is one."""
    with pytest.raises(InputError, match=words):
        read_musicxml(data)


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=120), st.integers(0, 400))
def test_noise_never_breaks_the_reader(noise: bytes, at: int) -> None:
    """Any bytes, alone or in the middle of a score, are notes or a clear error."""
    whole = score(note("C", 4, 2))
    for data in (noise, whole[:at] + noise + whole[at:]):
        try:
            read_musicxml(data)
        except InputError as error:
            assert error.remedy


def test_entities_are_refused_by_name() -> None:
    """A score that declares one of its own is told so, whatever it would say."""
    score = (
        b'<!DOCTYPE score-partwise [<!ENTITY song SYSTEM "file:///etc/hostname">]>'
        b"<score-partwise><part><measure>&song;</measure></part></score-partwise>"
    )
    with pytest.raises(InputError, match="entities, which are never followed"):
        read_musicxml(score)


@pytest.mark.parametrize("read", [read_musicxml, read_midi])
def test_only_a_plain_file_is_read(read: Callable[[Path], object], tmp_path: Path) -> None:
    """A pipe is not waited for, and a folder is named."""
    os.mkfifo(tmp_path / "pipe.mid")
    with pytest.raises(InputError, match="is a pipe"):
        read(tmp_path / "pipe.mid")
    with pytest.raises(InputError, match=f"{tmp_path.name} is a folder"):
        read(tmp_path)
