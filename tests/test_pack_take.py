"""A take in the pack: overlays, slow versions and clips with alpha that follow a recording."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
import soundfile

from gripwright.dsp.sound_file import write_flac
from gripwright.lesson.unroll import played_events
from gripwright.pack.build import build
from gripwright.pack.cache import Cache
from gripwright.pack.registry import stages_for
from gripwright.pack.run import plan
from gripwright.pack.stage import Settings, TakeFacts
from gripwright.screen.take import TakeEvent, take_cues, take_pulses
from json_shape import faults
from packing import TEXT, lesson_of

RATE = 22_050
SONG = TEXT.replace("order: Landing, Open Water, Landing", "order: Landing, Open Water")
SECONDS = 9.0


def events() -> tuple[TakeEvent, ...]:
    """A take that starts late, hurries, and leaves the second bar out."""
    order = [event.index for event in played_events(lesson_of(SONG)) if event.where.start != 4]
    starts = [1.0, 1.7, 2.4, 3.0, 3.6, 4.2, 5.4, 6.1]
    ends = [*starts[1:], 6.8]
    return tuple(TakeEvent(i, a, b) for i, a, b in zip(order, starts, ends, strict=True))


FACTS = TakeFacts("0" * 64, SECONDS, events())
NAMES = (
    "take-sound", "take-overlay", "take-overlay-tall", "take-slow-50", "take-alpha", "timeline",
)  # fmt: skip


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A pack of what follows a take whose events are known."""
    desk = tmp_path_factory.mktemp("take")
    time_s = np.arange(round(SECONDS * RATE)) / RATE
    tone = 0.4 * np.sin(2 * np.pi * 330 * time_s) * (np.floor(time_s) % 2)
    write_flac(desk / "take.flac", tone.astype(np.float32), RATE)
    settings = Settings(take=FACTS, alpha=True)
    stages = [stage for stage in stages_for(settings) if stage.name in NAMES]
    assert len(stages) == len(NAMES)
    build(
        lesson_of(SONG), desk / "out", Cache(desk / "cache"), settings=settings, stages=stages,
        take=desk / "take.flac",
    )  # fmt: skip
    return desk / "out"


def medium(pack: Path, path: str) -> dict[str, Any]:
    """Return what the timeline says of a file."""
    timeline = json.loads((pack / "timeline.json").read_text(encoding="utf-8"))
    assert faults(timeline, "timeline") == []
    (found,) = [row for row in timeline["media"] if row["path"] == path]
    return dict(found)


@pytest.mark.parametrize(
    ("path", "factor"),
    [("take-overlay.mp4", 1), ("take-overlay-tall.mp4", 1), ("take-slow-50.mp4", 2)],
)
def test_the_video_follows_the_take(pack: Path, path: str, factor: int) -> None:
    """Frames fall apart by the crop box as the take's events do, and last as long as it."""
    said = medium(pack, path)
    with av.open(str(pack / path)) as file:
        film = [frame.to_ndarray() for frame in file.decode(video=0)]
    assert len(film) == said["frames"] == round(SECONDS * factor * 30)
    assert [e["start_s"] for e in said["events"]] == pytest.approx(
        [e.start_s * factor for e in FACTS.events], abs=1 / 30
    )
    seen: dict[str | None, set[bytes]] = {}
    for number, picture in enumerate(film):
        on = [e for e in said["events"] if e["start_frame"] <= number < e["end_frame"]]
        crop = said["events"][0]["crop"]
        left, top = crop["x"], crop["y"]
        piece = picture[top : top + crop["height"], left : left + crop["width"]]
        seen.setdefault(on[0]["grip"] if on else None, set()).add(piece.tobytes())
    assert all(len(pieces) == 1 for pieces in seen.values())
    assert len(set.union(*seen.values())) == len(seen) == 4


def test_the_slow_take_is_exactly_twice_as_long_at_the_same_pitch(pack: Path) -> None:
    """Half speed doubles the length to a sample of the encoder and keeps 330 Hz."""
    samples, rate = soundfile.read(pack / "take-slow-50.mp3", dtype="float32")
    assert len(samples) == pytest.approx(2 * SECONDS * rate, abs=2)
    piece = samples[round(2.3 * rate) : round(3.7 * rate)]
    spectrum = np.abs(np.fft.rfft(piece.reshape(len(piece), -1)[:, 0], 1 << 18))
    assert np.fft.rfftfreq(1 << 18, 1 / rate)[spectrum.argmax()] == pytest.approx(330, abs=0.5)


def alpha_frames(path: Path, codec: str) -> list[np.ndarray[Any, Any]]:
    """Return the frames of a clip as RGBA, at half size, read by a decoder that knows alpha."""
    with av.open(str(path)) as file:
        decoder: Any = av.CodecContext.create(codec, "r")
        stream = file.streams.video[0]
        assert stream.average_rate == 30
        decoder.extradata = stream.codec_context.extradata
        found = []
        for packet in file.demux(stream):
            for frame in decoder.decode(packet if packet.size else None):
                found.append(frame.reformat(width=240, height=135, format="rgba").to_ndarray())
    return found


@pytest.mark.parametrize(
    ("path", "codec"), [("take-alpha.mov", "prores"), ("take-alpha.webm", "libvpx-vp9")]
)
def test_a_clip_with_alpha_has_every_frame_and_a_plate(pack: Path, path: str, codec: str) -> None:
    """One frame a thirtieth of the take; the plate is at 92 %, all around it nothing."""
    film = alpha_frames(pack / path, codec)
    assert len(film) == SECONDS * 30
    held = film[60]
    assert held[:, 150:, 3].max() == 0
    assert np.median(held[10:120, 16:100, 3]) == pytest.approx(0.92 * 255, abs=2)
    assert film[-1][..., 3].max() == 0
    changes = [n for n in range(1, len(film)) if not np.array_equal(film[n], film[n - 1])]
    assert changes == [30, 72, 108, 162, 204]


def test_what_a_take_leaves_out_is_not_shown() -> None:
    """Cues and beats are those of the bars that were played, each at the take's seconds."""
    lesson = lesson_of(SONG)
    cues = take_cues(lesson, FACTS.events)
    assert {(cue.part, cue.bar) for cue in cues} == {("Landing", 1), ("Open Water", 1)}
    assert all(a.end_s <= b.start_s for a, b in pairwise(cues))
    pulses = take_pulses(lesson, FACTS.events)
    assert [pulse.beat.number for pulse in pulses] == [1, 2, 3, 4, 1, 2, 3, 4]
    assert [pulse.start_s for pulse in pulses] == [event.start_s for event in FACTS.events]


def test_another_take_or_another_place_in_it_makes_its_products_anew() -> None:
    """The bytes of the take and every corrected second are in the keys of what follows it."""
    moved = (replace(FACTS.events[0], start_s=1.01), *FACTS.events[1:])
    keys = [
        {t.stage.name: t.key for t in plan(stages_for(s), lesson_of(SONG), s)}
        for s in (Settings(take=facts) for facts in
                  (FACTS, replace(FACTS, sha256="1" * 64), replace(FACTS, events=moved)))
    ]  # fmt: skip
    assert len({key["take-overlay"] for key in keys}) == 3
    assert len({key["overlay"] for key in keys}) == 1
