"""A whole pack: what is heard and seen is what the timeline says; same bytes, no spare work."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
import soundfile

from gripwright.dsp.loudness import integrated_lufs, true_peak_dbtp
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK
from gripwright.pack.build import Pack, build
from gripwright.pack.cache import Cache
from gripwright.pack.stages import diagrams, midi, overlay, play, practice, score
from json_shape import faults
from packing import TEXT, hashes, lesson_of

Track = np.ndarray[Any, np.dtype[np.float32]]
SHORT = TEXT.replace("order: Landing, Open Water, Landing", "order: Landing, Open Water")
TRACKS = ("play-full.flac", "play-slow.flac", "play-full.mp3", "play-slow.mp3")


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a whole pack in ``out`` and its cache."""
    folder = tmp_path_factory.mktemp("desk")
    build(lesson_of(SHORT), folder / "out", Cache(folder / "cache"))
    return folder


def medium(desk: Path, path: str) -> dict[str, Any]:
    """Return what the timeline says of a file."""
    timeline = json.loads((desk / "out" / "timeline.json").read_text(encoding="utf-8"))
    (found,) = [row for row in timeline["media"] if row["path"] == path]
    return dict(found)


def track(desk: Path, path: str) -> tuple[Track, int]:
    """Return a sound file as one channel."""
    samples, rate = soundfile.read(desk / "out" / path, dtype="float32")
    return samples.mean(axis=1), rate


@pytest.mark.parametrize("path", TRACKS)
def test_a_file_lasts_as_long_as_manifest_and_timeline_say(desk: Path, path: str) -> None:
    """Manifest, timeline and decoder agree on the length, to a sample."""
    manifest = json.loads((desk / "out" / "manifest.json").read_text(encoding="utf-8"))
    (row,) = [row for row in manifest["files"] if row["path"] == path]
    samples, rate = track(desk, path)
    assert len(samples) == round(row["seconds"] * rate)
    assert medium(desk, path)["seconds"] == pytest.approx(row["seconds"], abs=1 / rate)


@pytest.mark.parametrize("path", TRACKS[:2])
def test_every_event_is_struck_where_the_timeline_says(desk: Path, path: str) -> None:
    """Where a chord is struck the sound's edge rises within 4 ms; halfway on it does not."""
    samples, rate = track(desk, path)
    edge = np.abs(np.diff(samples, n=2, prepend=[0.0, 0.0]))  # a pick's edge, not the ringing

    def rise(second: float) -> float:
        at, width = round(second * rate), round(0.004 * rate)
        return float(
            edge[at : at + width].mean() / (edge[at - 2 * width : at - width].mean() + 1e-7)
        )

    events = [event for event in medium(desk, path)["events"] if event["grip"]]
    assert len(events) > 8
    for event in events:
        middle = (event["start_s"] + event["end_s"]) / 2
        assert rise(event["start_s"]) > 3 > 2 > rise(middle), event


@pytest.mark.parametrize("path", TRACKS[:2])
def test_the_notes_of_each_grip_sound_while_it_is_on(desk: Path, path: str) -> None:
    """Each string of the grip has its fundamental in the spectrum of its event.

    Equal temperament with A4 = 440 Hz (ISO 16).
    """
    samples, rate = track(desk, path)
    checked = 0
    for event in medium(desk, path)["events"]:
        if not event["grip"]:
            continue
        begin = round((event["start_s"] + 0.05) * rate)
        piece = samples[begin : round(event["end_s"] * rate) - 200]
        size = 1 << 17
        spectrum = np.abs(np.fft.rfft(piece * np.hanning(len(piece)), size))
        hz = np.fft.rfftfreq(size, 1 / rate)
        floor = np.median(spectrum[(hz > 60) & (hz < 2000)])
        for sound in soundings(parse_grip(event["grip"]), STANDARD_NECK):
            want = 440 * 2 ** ((sound.midi - 69) / 12)
            near = np.abs(1200 * np.log2(np.maximum(hz, 1) / want)) < 30
            assert spectrum[near].max() > 8 * floor, (event["grip"], sound)
            checked += 1
    assert checked > 30


def test_a_rest_is_silent(desk: Path) -> None:
    """Late in a rest next to nothing is left of the chord before it."""
    samples, rate = track(desk, "play-full.flac")
    (rest,) = [event for event in medium(desk, "play-full.flac")["events"] if not event["grip"]]
    late = samples[round((rest["end_s"] - 0.15) * rate) : round((rest["end_s"] - 0.02) * rate)]
    assert np.abs(late).max() < 0.1 * np.abs(samples).max()


def test_the_slow_play_through_is_the_same_at_seven_tenths(desk: Path) -> None:
    """Places scale by 10/7; the count-in too."""
    full, slow = medium(desk, "play-full.flac"), medium(desk, "play-slow.flac")
    assert slow["speed"] == 0.7
    assert slow["count_in_s"] == pytest.approx(full["count_in_s"] / 0.7)
    for a, b in zip(full["events"], slow["events"], strict=True):
        assert b["start_s"] == pytest.approx(a["start_s"] / 0.7)
        assert a["grip"] == b["grip"]


@pytest.mark.parametrize("path", TRACKS[:2])
def test_loudness_is_set(desk: Path, path: str) -> None:
    """-16 LUFS and at most -1 dBTP (ITU-R BS.1770 as measured in dsp.loudness)."""
    samples, rate = soundfile.read(desk / "out" / path, dtype="float32")
    assert true_peak_dbtp(samples, rate) <= -0.95
    assert integrated_lufs(samples, rate) == pytest.approx(-16.0, abs=0.5)


def test_the_count_in_is_four_clicks(desk: Path) -> None:
    """Before the first event there are clicks on the beats and nothing between them."""
    samples, rate = track(desk, "play-full.flac")
    beats = [round(beat * 0.5 * rate) for beat in range(5)]
    for start, end in pairwise(beats):
        click = np.abs(samples[start : start + rate // 20]).max()
        assert click > 0.02
        assert np.abs(samples[start + rate // 8 : end - 50]).max() < 0.05 * click


def test_frames_of_the_video_fall_apart_as_its_timeline_says(desk: Path) -> None:
    """By the crop box of the timeline, frames are equal exactly where its grip is equal."""
    said = medium(desk, "overlay.mp4")
    with av.open(str(desk / "out" / "overlay.mp4")) as file:
        film = [(frame.time, frame.to_ndarray()) for frame in file.decode(video=0)]
    assert len(film) == said["frames"] == math.ceil(said["seconds"] * said["fps"] - 1e-9)
    seen: dict[str | None, set[bytes]] = {}
    for second, picture in film:
        on = [e for e in said["events"] if e["start_s"] <= second + 1e-9 < e["end_s"]]
        assert len(on) <= 1
        crop = said["events"][0]["crop"]
        piece = picture[
            crop["y"] : crop["y"] + crop["height"], crop["x"] : crop["x"] + crop["width"]
        ]
        seen.setdefault(on[0]["grip"] if on else None, set()).add(piece.tobytes())
    assert set(seen) == {None, "5x555x", "x7678x", "x32030", "3x0003"}
    assert all(len(pieces) == 1 for pieces in seen.values())
    assert len(set.union(*seen.values())) == len(seen)


def test_a_prose_edit_needs_no_encoder_and_a_grip_edit_does(
    desk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With strings, sound files and video made to fail, other prose still builds."""

    def refuse(*given: object, **options: object) -> None:
        raise RuntimeError("an encoder was asked")

    for owner, name in ((av, "open"), (soundfile, "SoundFile"), (play, "render")):
        monkeypatch.setattr(owner, name, refuse)

    assert all((diagrams, midi, overlay, practice, score))  # loaded before anything is patched

    def again(text: str) -> Pack:
        return build(lesson_of(text), desk / "other", Cache(desk / "cache"), processes=1)

    assert again(SHORT.replace("nobody", "somebody")).made == (
        "handout-a4", "handout-letter", "description",
    )  # fmt: skip
    with pytest.raises(RuntimeError, match="an encoder was asked"):
        again(SHORT.replace("5x555x", "5x557x"))


ELSEWHERE = """
import sys, time
real = time.time
time.time = lambda: real() + 4e8
sys.path.insert(0, {tests!r})
from pathlib import Path
from test_pack_whole import SHORT
from packing import lesson_of
from gripwright.pack.build import build
from gripwright.pack.cache import Cache
from gripwright.pack.stages import diagrams, midi, overlay, play, practice, score
build(lesson_of(SHORT), Path("a/b/c"), Cache(Path("cache").resolve()), processes=1)
"""


def test_the_same_bytes_come_out_elsewhere(desk: Path, tmp_path: Path) -> None:
    """Another folder, an empty cache, another time zone, clock, hash seed and number of
    processes: the same pack to the byte."""
    script = ELSEWHERE.format(tests=str(Path(__file__).parent))
    environment = os.environ | {"TZ": "Asia/Kathmandu", "PYTHONHASHSEED": "77", "LC_ALL": "C"}
    subprocess.run([sys.executable, "-c", script], cwd=tmp_path, env=environment, check=True)
    assert hashes(tmp_path / "a" / "b" / "c") == hashes(desk / "out")


@pytest.mark.parametrize("name", ["manifest", "timeline"])
def test_what_a_pack_says_of_itself_follows_its_published_schema(desk: Path, name: str) -> None:
    """Manifest and timeline hold to docs/schemas."""
    said = json.loads((desk / "out" / f"{name}.json").read_text(encoding="utf-8"))
    assert said["contract"] == 1
    assert faults(said, name) == []
