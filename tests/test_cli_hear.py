"""``gripwright hear``: the JSON contract, the draft, bad input."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from gripwright.cli.main import root
from gripwright.dsp.sound_file import write_wav
from gripwright.hearing.bands import RATE
from gripwright.lesson.text import read_lesson
from hearing_takes import SONG, play, strummed

ROOT = Path(__file__).parent.parent


def run(*args: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(root, ["hear", *args])


@pytest.fixture
def take(tmp_path: Path) -> str:
    """Return a take of the song."""
    path = tmp_path / "take.wav"
    write_wav(path, play(SONG).heard.samples, RATE)
    return str(path)


def test_json_keeps_the_contract(take: str) -> None:
    """The keys of the published schema."""
    answer = json.loads(run(take, "--json").output)
    schema = json.loads((ROOT / "docs" / "schemas" / "hear.json").read_text(encoding="utf-8"))
    assert set(answer) == set(schema["required"])
    chord = schema["properties"]["chords"]["items"]
    assert set(answer["chords"][0]) == set(chord["required"])
    assert len(answer["strings_cents"]) == 6


def test_people_get_a_line_a_chord(take: str) -> None:
    """With the grip and how sure it is."""
    output = run(take).output
    assert "beats a minute" in output
    assert "x32010" in output


def test_a_draft_is_a_lesson(take: str, tmp_path: Path) -> None:
    """That the reader accepts, in the tuning given."""
    draft = tmp_path / "draft.md"
    result = run(take, "-o", str(draft), "--tuning", "D2 A2 D3 G3 B3 E4")
    assert result.exit_code == 0
    lesson = read_lesson(draft).lesson
    assert lesson is not None
    assert lesson.neck.tuning.midi[0] == 38
    assert len(lesson.parts[0].bars) >= 6


def test_a_lesson_that_is_there_is_kept(take: str, tmp_path: Path) -> None:
    """Exit 2 and not a byte changed, until --replace is given."""
    draft = tmp_path / "mine.md"
    draft.write_text("hours of work", encoding="utf-8")
    refused = run(take, "-o", str(draft))
    assert refused.exit_code == 2
    assert "--replace" in refused.output
    assert draft.read_text(encoding="utf-8") == "hours of work"
    assert run(take, "-o", str(draft), "--replace").exit_code == 0
    assert read_lesson(draft).lesson is not None


def test_a_draft_never_replaces_its_take(take: str, tmp_path: Path) -> None:
    """Not through a link and not with --replace."""
    link = tmp_path / "draft.md"
    link.symlink_to(take)
    before = Path(take).read_bytes()
    for out in (take, str(link)):
        assert run(take, "-o", out, "--replace").exit_code == 2
    assert Path(take).read_bytes() == before


def test_no_beat_is_no_tempo(tmp_path: Path) -> None:
    """One strum: the tempo is null, not nought."""
    path = tmp_path / "one.wav"
    write_wav(path, strummed("x32010").samples, RATE)
    answer = json.loads(run(str(path), "--json").output)
    assert answer["tempo_bpm"] is None
    assert answer["beats_s"] == []


@pytest.mark.parametrize(
    ("args", "code"), [(["--tuning", "E2 H2"], "tuning"), (["--capo", "30"], "tuning")]
)
def test_wrong_options_exit_2(take: str, args: list[str], code: str) -> None:
    """With the code of the error."""
    result = run(take, *args, "--json")
    assert result.exit_code == 2
    assert json.loads(result.output)["error"]["code"] == code


def test_noise_exits_2_in_words(tmp_path: Path) -> None:
    """No note can be heard in it."""
    path = tmp_path / "noise.wav"
    hiss = 0.1 * np.random.default_rng(4).standard_normal(2 * RATE)
    write_wav(path, hiss, RATE)
    result = run(str(path))
    assert result.exit_code == 2
    assert "no note can be heard" in result.output


def test_hearing_starts_without_the_slow_libraries() -> None:
    """No scipy.signal, no peer: the first answer is quick."""
    code = (
        "import sys, gripwright.cli.hear, gripwright.cli.sync;"
        "print([m for m in ('scipy.signal', 'librosa', 'sklearn', 'torch') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
