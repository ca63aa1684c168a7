"""The proof with a take and a cut: the rules on values, then the whole way from files."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

from click.testing import CliRunner

from gripwright.cli.main import root
from gripwright.dsp.sound_file import write_flac
from gripwright.hearing.bands import RATE
from gripwright.lesson.text import parse
from gripwright.proof.registry import Evidence, Finding, check
from gripwright.proof.take import CutPiece, HeardEvent, HeardNote, TakeEvidence
from hearing_takes import SONG, play

EVENTS = tuple(
    HeardEvent(("chord", part, bar, 0), part, bar + 1, 2.0 * index, 2.0 * index + 2.0)
    for index, (part, bar) in enumerate(
        [("verse", 0), ("verse", 1), ("bridge", 0), ("bridge", 1), ("verse", 0), ("verse", 1)]
    )
)
TAKE = TakeEvidence("take.wav", 100.0, EVENTS, (), (), (), None)


def found(take: TakeEvidence) -> list[Finding]:
    """Return what the rules say of a take of the song."""
    rules = ("take-departs", "cut-misses")
    return [f for f in check(Evidence(parse(SONG), SONG, take)) if f.rule in rules]


def test_a_take_that_agrees_says_nothing() -> None:
    """Nor does a tempo that is a little off."""
    assert found(TAKE) == [] and found(replace(TAKE, tempo_bpm=104.0)) == []


def test_parts_and_tempo_are_told_where_they_are_written() -> None:
    """A part left out twice is one finding at the part."""
    told = found(replace(TAKE, skipped=("verse", "verse"), repeated=("bridge",), tempo_bpm=80.0))
    assert [(f.line, f.severity) for f in told] == [(3, "note"), (8, "doubtful"), (12, "doubtful")]
    assert "runs at 80 beats a minute, the lesson says 100" in told[0].message
    assert "leaves out verse (2 times)" in told[1].message


def test_a_note_that_departs_each_time_is_one_finding() -> None:
    """With the times, at the written chord."""
    node = ("chord", "bridge", 1, 0)
    notes = tuple(HeardNote(node, at, "F3 likely does not sound") for at in (1.0, 61.2))
    (told,) = found(replace(TAKE, notes=notes))
    assert (told.line, told.column) == (13, 18)
    assert told.message == "in take.wav at 0:01, 1:01, F3 likely does not sound"


def test_bars_that_no_piece_of_the_cut_holds() -> None:
    """By part, in runs that go forward."""
    assert found(replace(TAKE, pieces=(CutPiece(0.0, 12.0, 30.0),))) == []
    told = found(replace(TAKE, pieces=(CutPiece(0.0, 2.2, 5.0), CutPiece(5.5, 8.0, 9.0))))
    said = [f.message.removeprefix("the cut does not show ") for f in told]
    assert sorted(said) == [
        "bar 1 of bridge, in the take from 0:04 to 0:06",
        "bar 2 of verse, in the take from 0:02 to 0:04",
        "bars 1 to 2 of verse, in the take from 0:08 to 0:12",
    ]
    assert "holds no piece" in found(replace(TAKE, pieces=()))[0].message


def test_from_files_to_findings(tmp_path: Path) -> None:
    """A take without its bridge, cut after the first bar, at half again the tempo."""
    lesson, take, cut = (str(tmp_path / name) for name in ("song.md", "take.flac", "cut.flac"))
    Path(lesson).write_text(SONG, encoding="utf-8")
    samples = play(SONG, ("verse", "verse"), 1.25).heard.samples
    write_flac(Path(take), samples, RATE)
    write_flac(Path(cut), samples[: 4 * RATE], RATE)
    run = CliRunner().invoke(root, ["proof", lesson, "--take", take, "--cut", cut, "--json"])
    told = json.loads(run.output)["findings"]
    assert run.exit_code == 1
    messages = [f["message"] for f in told if f["rule"] == "take-departs"]
    assert any("leaves out bridge" in message for message in messages)
    assert any("runs at 125" in message for message in messages)
    assert any(f["rule"] == "cut-misses" for f in told)


def test_a_cut_needs_a_take(tmp_path: Path) -> None:
    """And captions must be captions."""
    (tmp_path / "song.md").write_text(SONG, encoding="utf-8")
    lesson = str(tmp_path / "song.md")
    assert CliRunner().invoke(root, ["proof", lesson, "--cut", lesson]).exit_code == 2
    run = CliRunner().invoke(root, ["proof", lesson, "--captions", lesson, "--json"])
    assert run.exit_code == 2 and "WEBVTT" in run.output
