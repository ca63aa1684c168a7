"""``gripwright sync``: the JSON contract, exit codes, bad input."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from gripwright.cli.main import root
from gripwright.dsp.sound_file import write_flac, write_wav
from gripwright.hearing.bands import RATE
from hearing_takes import SONG, play

ROOT = Path(__file__).parent.parent


def run(*args: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(root, ["sync", *args])


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    """Return a lesson and a take of it."""
    (tmp_path / "song.md").write_text(SONG, encoding="utf-8")
    write_flac(tmp_path / "take.flac", play(SONG).heard.samples, RATE)
    return str(tmp_path / "song.md"), str(tmp_path / "take.flac")


def test_json_keeps_the_contract(files: tuple[str, str]) -> None:
    """The keys of the published schema, in the answer and in its events."""
    answer = json.loads(run(*files, "--json").output)
    schema = json.loads((ROOT / "docs" / "schemas" / "sync.json").read_text(encoding="utf-8"))
    assert set(answer) == set(schema["required"])
    event = schema["properties"]["events"]["items"]
    assert len(answer["events"]) == 18
    assert set(answer["events"][0]) == set(event["required"])
    assert answer["events"][0]["start_s"] == pytest.approx(0.5, abs=0.02)


def test_people_get_times_and_parts(files: tuple[str, str]) -> None:
    """One line an event."""
    result = run(*files)
    assert result.exit_code in (0, 1)
    assert "parts: verse 0:00.5" in result.output
    assert "bridge 2.3" in result.output


def test_keep_writes_the_timing_beside_the_lesson(files: tuple[str, str]) -> None:
    """And only then."""
    beside = Path(files[0]).with_name("song.timing.json")
    run(*files)
    assert not beside.exists()
    run(*files, "--keep")
    assert json.loads(beside.read_bytes())["version"] == 1


def test_a_cut_is_searched(files: tuple[str, str], tmp_path: Path) -> None:
    """A piece of the take after a second of silence."""
    take = play(SONG).heard.samples
    cut = np.concatenate([np.zeros(RATE, np.float32), take[3 * RATE : 8 * RATE]])
    write_wav(tmp_path / "cut.wav", cut, RATE)
    (piece,) = json.loads(run(*files, "--cut", str(tmp_path / "cut.wav"), "--json").output)[
        "pieces"
    ]
    assert piece["cut_start_s"] == pytest.approx(1.0, abs=0.04)
    assert piece["take_start_s"] == pytest.approx(3.0, abs=0.04)


def _bad(kind: str) -> np.ndarray | bytes:
    rng = np.random.default_rng(1)
    if kind == "silence":
        return np.zeros(2 * RATE, np.float32)
    if kind == "noise":
        return (0.1 * rng.standard_normal(3 * RATE)).astype(np.float32)
    return {"empty": b"", "text": b"not a recording"}[kind]


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("silence", "silent"),
        ("noise", "does not match"),
        ("empty", "0 bytes"),
        ("text", "not a recording"),
    ],
)
def test_bad_takes_exit_2_with_words(files: tuple[str, str], kind: str, words: str) -> None:
    """One error object, nothing written."""
    path = Path(files[1]).with_name("bad.wav")
    made = _bad(kind)
    if isinstance(made, bytes):
        path.write_bytes(made)
    else:
        write_wav(path, made, RATE)
    result = run(files[0], str(path), "--json", "--keep")
    assert result.exit_code == 2
    assert words in json.loads(result.output)["error"]["message"]
    assert not Path(files[0]).with_name("song.timing.json").exists()
