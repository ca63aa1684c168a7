"""The record bench: spans, bands, loops, what sounds here, a grip underneath."""

from __future__ import annotations

import json
import os
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from gripwright.cli.main import root
from gripwright.dsp.sound_file import write_wav
from gripwright.errors import InputError
from gripwright.hearing.bands import RATE
from gripwright.hearing.record import band_of, practice_loop, read_span, sounds_here, with_grip
from gripwright.neck.grip import parse_grip
from hearing_takes import strummed
from json_shape import SCHEMAS, faults

HZ = 44_100


def sine(hz: float, seconds: float = 1.0) -> np.ndarray:
    """Return a sine, one channel."""
    time = np.arange(int(seconds * HZ)) / HZ
    return (0.3 * np.sin(2 * np.pi * hz * time)).astype(np.float32)


def loudest_hz(x: np.ndarray, rate: int = HZ) -> float:
    """Return the strongest frequency of the first channel."""
    spectrum = np.abs(np.fft.rfft(x[:, 0] * np.hanning(len(x)), 1 << 18))
    return float(spectrum.argmax() * rate / (1 << 18))


@pytest.fixture
def record(tmp_path: Path) -> str:
    """Return a record of one strummed A minor sixth."""
    path = tmp_path / "record.wav"
    write_wav(path, strummed("xx7978").samples, RATE)
    return str(path)


def run(*args: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(root, ["record", *args])


def test_half_speed_keeps_the_pitch() -> None:
    """Twice as long, the same 440 Hz."""
    loop = practice_loop(sine(440)[:, None], HZ, speed=0.5)
    assert len(loop) == 2 * HZ
    assert loudest_hz(loop) == pytest.approx(440, abs=1.0)


def test_cents_raise_the_pitch() -> None:
    """A semitone: 466.16 Hz (twelve equal steps)."""
    loop = practice_loop(sine(440)[:, None], HZ, cents=100)
    assert loudest_hz(loop) == pytest.approx(466.16, abs=1.0)


def test_a_loop_joins_without_a_click() -> None:
    """Both ends reach zero."""
    loop = practice_loop(sine(437)[:, None], HZ, times=3)
    assert len(loop) == 3 * HZ
    assert np.abs(np.diff(loop[:, 0])).max() < 0.05


@pytest.mark.parametrize("speed", [0.2, 1.5])
def test_other_speeds_are_refused(speed: float) -> None:
    """Thirty to a hundred per cent."""
    with pytest.raises(InputError, match="outside 30 to 100"):
        practice_loop(sine(440)[:, None], HZ, speed=speed)


def test_the_bass_band_keeps_the_bass() -> None:
    """A low E stays, a high one goes by more than 30 dB."""
    low, high = sine(82.4)[:, None], sine(1318.5)[:, None]
    assert np.std(band_of(low, HZ, "bass")) == pytest.approx(np.std(low), rel=0.05)
    assert np.std(band_of(high, HZ, "bass")) < 0.03 * np.std(high)


def test_centre_and_sides_part_what_is_alike() -> None:
    """A sine in both channels is centre, one against itself is sides."""
    both = np.stack([sine(200), sine(200)], axis=1)
    against = np.stack([sine(900), -sine(900)], axis=1)
    assert np.allclose(band_of(both + against, HZ, "centre"), both, atol=1e-6)
    assert np.allclose(band_of(both + against, HZ, "sides"), against, atol=1e-6)


def test_mono_has_no_sides() -> None:
    """And says so."""
    with pytest.raises(InputError, match="mono"):
        band_of(sine(200)[:, None], HZ, "sides")


def test_a_span_outside_the_record_is_refused(record: str) -> None:
    """With where it ends."""
    with pytest.raises(InputError, match="the record ends at"):
        read_span(Path(record), 100.0, 101.0)


def test_a_span_is_cut_to_the_sample(record: str) -> None:
    """A second of 44,100."""
    span, rate = read_span(Path(record), 0.25, 1.25)
    assert (len(span), rate) == (44_100, 44_100)


def test_what_sounds_here() -> None:
    """The four pitches of the strum, its grip first."""
    heard = strummed("xx7978")
    here = sounds_here(heard.samples[:, None], RATE)
    assert here.midi == (57, 64, 66, 72)
    assert here.grips[0] == parse_grip("xx7978")
    assert sorted(here.sure) == list(here.midi)


def test_a_grip_lies_underneath() -> None:
    """Its own pitches appear in the mix, within full scale."""
    quiet = np.repeat(0.1 * sine(2000)[:, None], 2, axis=1)
    mixed = with_grip(quiet, HZ, parse_grip("xxx0xx"))
    spectrum = np.abs(np.fft.rfft(mixed[:, 0], HZ))
    assert spectrum[190:202].max() > 10 * np.median(spectrum)
    assert np.abs(mixed).max() <= 1.0
    assert mixed.shape == quiet.shape


def test_the_command_writes_and_tells(record: str, tmp_path: Path) -> None:
    """A slow loop as FLAC and what sounds in it."""
    out = tmp_path / "loop.flac"
    result = run(
        record, "--from", "0:00.1", "--to", "1.5", "--speed", "50", "-o", str(out), "--json"
    )
    answer = json.loads(result.output)
    assert result.exit_code == 0
    assert answer["bass"] == "A3"
    assert out.stat().st_size > 10_000


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (["--to", "soon"], "is not a time"),
        (["--to", "0"], "is empty"),
        (["--to", "1", "-o", "loop.doc"], "no wav or flac"),
        (["--to", "1", "--grip", "x3"], "has 2 places"),
        (["--to", "1", "--grip", ""], "grip"),
        (["--to", "1", "--tuning", ""], "tuning"),
        (["--to", "1", "--speed", "nan"], "is not a number from 30"),
        (["--to", "1", "--speed", "0"], "is not a number from 30"),
        (["--to", "1", "--cents", "1e9"], "is not a number from -1200"),
        (["--to", "1", "--times", "0"], "is not a whole number from 1"),
        (["--to", "٣"], "is not a time"),
    ],
)
def test_wrong_use_is_told(record: str, args: list[str], message: str) -> None:
    """With exit code 2."""
    result = run(record, *args)
    assert result.exit_code == 2
    assert message in result.output


def test_the_record_is_never_written_over(record: str, tmp_path: Path) -> None:
    """Not through its own name, not through a link, not even when told to replace."""
    before = Path(record).read_bytes()
    link = tmp_path / "link.wav"
    link.symlink_to(record)
    for out in (record, str(link)):
        for more in ([], ["--replace"]):
            result = run(record, "--to", "1", "-o", out, *more)
            assert result.exit_code == 2
            assert "is the record itself" in result.output
    assert Path(record).read_bytes() == before


def test_another_file_is_written_over_only_when_told(record: str, tmp_path: Path) -> None:
    """Its bytes stay until --replace is given."""
    out = tmp_path / "take.wav"
    out.write_bytes(b"the teacher's only take")
    refused = run(record, "--to", "1", "-o", str(out), "--json")
    assert (refused.exit_code, out.read_bytes()) == (2, b"the teacher's only take")
    error = json.loads(refused.output)
    assert faults(error, "error") == []
    assert "--replace" in error["error"]["remedy"]
    assert run(record, "--to", "1", "-o", str(out), "--replace").exit_code == 0
    assert out.read_bytes()[:4] == b"RIFF"


def test_the_answer_keeps_its_schema(record: str) -> None:
    """No more keys and no fewer than published."""
    answer = json.loads(run(record, "--to", "1.5", "--json").output)
    schema = json.loads((SCHEMAS / "record.json").read_text(encoding="utf-8"))
    assert faults(answer, "record") == []
    assert set(answer) == set(schema["required"])


@pytest.mark.parametrize(("path", "said"), [("/dev/null", "is a device"), (".", "is a folder")])
def test_only_a_plain_file_is_a_record(path: str, said: str) -> None:
    """And the message names what was given."""
    result = run(path, "--to", "1")
    assert result.exit_code == 2
    assert said in result.output
    assert (Path(path).name or path) in result.output


def test_a_pipe_is_refused_without_waiting(tmp_path: Path) -> None:
    """Nobody writes to it, and the command does not hang."""
    pipe = tmp_path / "pipe.wav"
    os.mkfifo(pipe)
    assert "is a pipe" in run(str(pipe), "--to", "1").output
