"""``gripwright arrange`` from outside: changes, lessons, parts, and what goes wrong."""

from __future__ import annotations

import json
from pathlib import Path

import mido
import pytest
from click.testing import CliRunner, Result
from music21 import chord, meter, stream

import json_shape
from gripwright.cli.arrange import command
from gripwright.lesson.arranged import arrange_lesson, chords_of, write_grips_in
from gripwright.lesson.text import parse
from gripwright.neck.effort import Player

LESSON = """---
title: Small
tempo: 120
---

Some words.

```grips
C    x32010
     .32.1.
```

```part Verse
| Am9 / D13 / | Gmaj7 | same | Am9 Em C D |
```

More words.
"""


def run(*args: object) -> Result:
    """Run the command."""
    return CliRunner().invoke(command, [str(arg) for arg in args])


@pytest.fixture
def lesson(tmp_path: Path) -> Path:
    """Return a lesson of which one chord is set out."""
    path = tmp_path / "small.md"
    path.write_text(LESSON, encoding="utf-8")
    return path


def keys(path: Path) -> Path:
    """Write four stacks as a MIDI file: a bar each at 100 beats a minute."""
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=600_000)])
    for stack in ((48, 55, 59, 64), (45, 52, 55, 60, 64), (36, 57, 60, 65), (43, 53, 59, 62)):
        track += [mido.Message("note_on", note=n, velocity=80) for n in stack]
        track += [
            mido.Message("note_off", note=n, time=0 if place else 1920)
            for place, n in enumerate(stack)
        ]
    mido.MidiFile(tracks=[track]).save(path)
    return path


def test_changes_are_arranged() -> None:
    """One grip a chord, a move between each two, as published."""
    answer = json.loads(run("--changes", "Dm7 G7 | Cmaj7", "--json").stdout)
    assert json_shape.faults(answer, "arrange") == []
    assert [one["symbol"] for one in answer["grips"]] == ["Dm7", "G7", "Cmaj7"]
    assert len(answer["moves"]) == 2 and answer["lost"] == []


def test_voices_tell_their_steps() -> None:
    """Each voice from note to note; the steps are their semitones."""
    answer = json.loads(run("--changes", "x32010=C x02210=Am", "--json").stdout)
    voices = answer["moves"][0]["voices"]
    assert {"from": "G3", "to": "A3", "steps": 2} in voices
    assert answer["moves"][0]["kept"] == ["1", "2"]
    assert answer["moves"][0]["words"].startswith("keep the first and second fingers")


def test_fixed_grips_stay_fixed() -> None:
    """A grip among the changes is taken as it is."""
    answer = json.loads(run("--changes", "C | 320033 | D", "--json").stdout)
    assert answer["grips"][1]["grip"] == "320033" and answer["grips"][1]["symbol"] is None


def test_an_easier_level_tells_what_is_lost() -> None:
    """Level 1 leaves out degrees of a large chord and names them by chord."""
    answer = json.loads(run("--changes", "Ab13(#11) | Db6/9", "--level", "1", "--json").stdout)
    assert answer["lost"][0]["index"] == 0 and "#11" in answer["lost"][0]["degrees"]
    hard = json.loads(run("--changes", "Ab13(#11) | Db6/9", "--json").stdout)
    assert answer["effort"] < hard["effort"]


def test_other_aims_chains_and_tops() -> None:
    """The easiest worst moment is no worse than the least total's; chains differ; tops hold."""
    changes = "C F Bm7(b5) E7 | Am"
    total, worst = (
        json.loads(run("--changes", changes, "--aim", aim, "--json").stdout)
        for aim in ("total", "worst")
    )
    assert worst["worst"]["effort"] <= total["worst"]["effort"]
    more = json.loads(run("--changes", changes, "--chains", "3", "--json").stdout)
    assert len(more["chains"]) == 2 and more["chains"][0]["grips"] != more["grips"]
    topped = json.loads(run("--changes", "C G", "--tops", "E4 -", "--json").stdout)
    assert topped["moves"][0]["voices"][-1]["from"] == "E4"


def test_a_lesson_is_arranged_and_written(lesson: Path, tmp_path: Path) -> None:
    """Every chord gets a grip, the teacher's stays, prose and chart stay byte for byte."""
    out = tmp_path / "out.md"
    result = run(lesson, "-o", out, "--json")
    assert json_shape.faults(json.loads(result.stdout), "arrange") == []
    text = out.read_text(encoding="utf-8")
    parsed = parse(text)
    assert parsed.problems == () and parsed.lesson is not None
    assert all(one.chord.grip for one in chords_of(parsed.lesson))
    assert "C    x32010\n     .32.1." in text and text.endswith("More words.\n")
    assert lesson.read_text(encoding="utf-8") == LESSON


def test_what_is_written_is_what_was_arranged() -> None:
    """Reading the lesson back gives the grips, each with the fingers of its first place."""
    before = parse(LESSON).lesson
    assert before is not None
    found = arrange_lesson(before, Player(before.neck))[0]
    after = parse(write_grips_in(LESSON, found)).lesson
    assert after is not None
    written = chords_of(after)
    assert [one.chord.grip for one in written] == [one.grip for one in found.grips]
    first = {one.grip: one.fingers for one in reversed(found.fingerings)}
    assert all(one.chord.fingers == first[one.chord.grip] for one in written if one.chord.grip)


def test_one_grip_for_each_symbol_on_request(lesson: Path) -> None:
    """With --one-each the two Am9 are the same grip."""
    answer = json.loads(run(lesson, "--one-each", "--json").stdout)
    nines = {one["grip"] for one in answer["grips"] if one["symbol"] == "Am9"}
    assert len(nines) == 1


def test_a_midi_part_becomes_a_lesson(tmp_path: Path) -> None:
    """The bass below the neck is told as moved; the lesson reads back."""
    out = tmp_path / "keys.md"
    answer = json.loads(run(keys(tmp_path / "keys.mid"), "-o", out, "--json").stdout)
    assert json_shape.faults(answer, "arrange") == []
    assert answer["kept"][2]["moved"] == [{"from": "C2", "to": "C3"}]
    read = parse(out.read_text(encoding="utf-8")).lesson
    assert read is not None and read.tempo_bpm == 100 and len(read.parts[0].bars) == 4


def test_a_musicxml_part_becomes_a_lesson(tmp_path: Path) -> None:
    """Written by music21: two chords in 3/4, bass and top kept."""
    part = stream.Part([meter.TimeSignature("3/4")])
    for names in (["C3", "G3", "B3", "E4"], ["A2", "G3", "C4", "E4"]):
        part.append(chord.Chord(names, quarterLength=3))
    path = tmp_path / "part.musicxml"
    part.write("musicxml", fp=path)
    out = tmp_path / "part.md"
    result = run(path, "-o", out)
    assert result.exit_code == 0, result.output
    read = parse(out.read_text(encoding="utf-8")).lesson
    assert read is not None and read.metre.text == "3/4"
    assert [c.name for c in read.grips] == ["Cmaj7", "Am7"]


def test_people_read_a_line_a_chord() -> None:
    """Symbol, grip, fingers and a word; each change in words on request."""
    result = run("--changes", "Am E | C", "--words", "--level", "1")
    assert result.exit_code == 0
    assert "x02210" in result.stdout and "then " in result.stdout


def cut_short(path: Path) -> Path:
    """Return a MIDI file that ends in the middle."""
    whole = keys(path).read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    return path


def test_a_midi_file_that_is_cut_short_writes_nothing(tmp_path: Path) -> None:
    """Clear words, exit code 2, no lesson."""
    out = tmp_path / "out.md"
    result = run(cut_short(tmp_path / "cut.mid"), "-o", out, "--json")
    error = json.loads(result.stdout)["error"]
    assert result.exit_code == 2 and "MIDI" in error["message"] and error["remedy"]
    assert not out.exists()


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["--changes", "C Hx"], "chord 2"), (["--changes", "C", "--tempo", "nan"], "tempo"),
        (["--changes", "C", "--chains", "0"], "1 to 9"), (["--changes", " "], "no chords"),
        (["--changes", "C13", "--span", "1"], "chord 1, C13"),
        (["--changes", "C F", "--tops", "E4"], "1 top notes for 2 chords"),
        (["--changes", "C", "-o", "x.md"], "no lesson to write"),
        (["nowhere.md"], "nowhere.md"), (["nowhere.mid"], "nowhere.mid"),
        (["--changes", "123456"], "cannot be held"),
    ],
)  # fmt: skip
def test_errors_are_clear(args: list[str], told: str) -> None:
    """Exit code 2 and the thing at fault by name."""
    result = run(*args, "--json")
    assert result.exit_code == 2
    assert told in json.loads(result.stdout)["error"]["message"]


def test_one_source_at_a_time() -> None:
    """A file and changes together, or neither, are wrong use."""
    assert run().exit_code == 2
    assert run("x.md", "--changes", "C").exit_code == 2


def test_a_folder_that_is_not_there(lesson: Path, tmp_path: Path) -> None:
    """The lesson cannot be written, and no scrap is left behind."""
    result = run(lesson, "-o", tmp_path / "no" / "out.md", "--json")
    assert result.exit_code == 2
    assert "cannot be written" in json.loads(result.stdout)["error"]["message"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["small.md"]


def test_a_part_that_is_not_in_the_file(tmp_path: Path) -> None:
    """The parts that are there are told."""
    result = run(keys(tmp_path / "keys.mid"), "--part", "4", "--json")
    assert result.exit_code == 2 and "part 4" in json.loads(result.stdout)["error"]["message"]


def test_another_lesson_is_never_written_over(tmp_path: Path, lesson: Path) -> None:
    """A file that is there stays as it was, unless it is the lesson that is arranged."""
    part = keys(tmp_path / "part.mid")
    result = run(part, "-o", lesson, "--json")
    assert result.exit_code == 2
    assert json.loads(result.stdout)["error"]["field"] == "output"
    assert lesson.read_text("utf-8") == LESSON
    assert run(lesson, "-o", lesson).exit_code == 0
