"""The overlay: frames in step with the timeline, each distinct picture once, colours true."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

from gripwright.draw.look import LIGHT
from gripwright.dsp.loudness import true_peak_dbtp
from gripwright.dsp.media import read_audio
from gripwright.dsp.sound_file import write_flac
from gripwright.lesson.model import Lesson
from gripwright.pack.views import fingers_by_grip
from gripwright.screen.clock import clock, pulses
from gripwright.screen.cues import cues
from gripwright.screen.layout import TALL, WIDE, Box, Layout
from gripwright.screen.overlay import write_overlay
from gripwright.screen.planes import YUV420, Canvas
from gripwright.screen.shots import FPS, Shot, frame_at, frame_spans, shots
from gripwright.screen.soundtrack import write_aac
from gripwright.screen.tiles import Board, tiles
from gripwright.screen.video import GROUP, write_mp4
from packing import TEXT, lesson_of

BLOCK = 16  # the macroblock of H.264
SONG = TEXT.replace("order: Landing, Open Water, Landing", "order: Open Water, Landing")


def shots_of(lesson: Lesson) -> tuple[Shot, ...]:
    """Return the shots of a lesson at full tempo."""
    times = clock(lesson)
    events = cues(lesson, times.tempo_map)
    return shots(events, pulses(lesson, times), times.end_s, frame_at(times.total_s))


def write(lesson: Lesson, place: Path, layout: Layout = WIDE, sound: Path | None = None) -> None:
    """Write the overlay of a lesson."""
    board = Board(layout, lesson.neck, LIGHT, fingers_by_grip(lesson), lesson.title)
    write_overlay(place, board, shots_of(lesson), sound=sound)


def frames(path: Path) -> list[np.ndarray[Any, Any]]:
    """Return the brightness of every frame."""
    with av.open(str(path)) as file:
        return [frame.to_ndarray()[: frame.height] for frame in file.decode(video=0)]


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> list[np.ndarray[Any, Any]]:
    """The decoded overlay of a short song."""
    path = tmp_path_factory.mktemp("film") / "overlay.mp4"
    write(lesson_of(SONG), path)
    return frames(path)


def test_frames_fall_apart_by_crop_box_as_the_cues_do(film: list[np.ndarray[Any, Any]]) -> None:
    """Two frames are alike in the box of the grip exactly when the same grip is on."""
    lesson = lesson_of(SONG)
    events = cues(lesson, clock(lesson).tempo_map)
    grips: list[str | None] = [None] * len(film)
    for cue, (first, after) in zip(events, frame_spans(events, len(film)), strict=True):
        grips[first:after] = [cue.grip] * (after - first)
    box = WIDE.grip
    crops = [f[box.y : box.y + box.height, box.x : box.x + box.width] for f in film]
    firsts = {grip: crops[grips.index(grip)].astype(int) for grip in set(grips)}
    assert len(firsts) == 5
    for grip, crop in zip(grips, crops, strict=True):
        near = {g: float(np.abs(crop - first).mean()) for g, first in firsts.items()}
        assert near[grip] == 0
        assert all(apart > 0.5 for g, apart in near.items() if g != grip)


def test_a_change_is_on_its_beat_within_a_frame() -> None:
    """A cue's first frame starts at or after its sound, less than a frame later."""
    lesson = lesson_of(SONG.replace("tempo: 120", "tempo: 97"))
    events = cues(lesson, clock(lesson).tempo_map)
    spans = frame_spans(events, 10_000)
    assert events
    for cue, (first, _) in zip(events, spans, strict=True):
        assert -1e-6 <= first / FPS - cue.start_s < 1 / FPS


def test_the_video_lasts_as_long_as_the_rendering(film: list[np.ndarray[Any, Any]]) -> None:
    """There is a frame for every thirtieth of a second to the end of the ring-out."""
    assert len(film) == frame_at(clock(lesson_of(SONG)).total_s)


def test_the_beat_changes_while_the_grip_stays(film: list[np.ndarray[Any, Any]]) -> None:
    """On a second beat of the same chord only the beat's box differs."""
    lesson = lesson_of(SONG)
    second = clock(lesson).tempo_map.seconds(Fraction(1))
    before, after = film[frame_at(second) - 1].astype(int), film[frame_at(second)].astype(int)
    rows = np.flatnonzero(np.abs(before - after).max(axis=1))
    assert len(rows)
    assert WIDE.beat.y - BLOCK <= rows.min() and rows.max() < WIDE.beat.y + WIDE.beat.height


def test_repeated_frames_are_the_picture_bit_for_bit(tmp_path: Path) -> None:
    """A frame that repeats decodes as the picture it repeats, over more than one group."""
    waves = np.sin(np.arange(160) / 9) + np.cos(np.arange(128) / 7)[:, None]
    grain = (128 + 50 * waves).astype(np.uint8)
    flat = np.full((64, 80), 128, np.uint8)

    def draw(key: str) -> tuple[np.ndarray[Any, Any], ...]:
        return (grain if key == "a" else grain[::-1], flat, flat)

    path = tmp_path / "x.mp4"
    write_mp4(path, [("a", GROUP + 40), ("b", 3), ("a", 1)], draw, width=160, height=128, fps=30)
    shown = frames(path)
    assert len(shown) == GROUP + 44
    assert all(np.array_equal(frame, shown[0]) for frame in shown[: GROUP + 40])
    assert np.array_equal(shown[-1], shown[0])
    assert np.abs(shown[0].astype(int) - grain).mean() < 4
    assert np.abs(shown[GROUP + 41].astype(int) - grain[::-1]).mean() < 4


def test_each_picture_is_drawn_once(tmp_path: Path) -> None:
    """A song that comes round again and again asks for no new picture."""
    asked: list[int] = []

    def draw(key: int) -> tuple[np.ndarray[Any, Any], ...]:
        asked.append(key)
        return tuple(np.full((32 // by, 32 // by), 90 + key, np.uint8) for by in (1, 2, 2))

    runs = [(1, 5), (2, 5), (1, 5), (2, 5), (1, 5)]
    write_mp4(tmp_path / "x.mp4", runs, draw, width=32, height=32, fps=30)
    assert asked == [1, 2]
    often = lesson_of(
        TEXT.replace("order: Landing, Open Water", "order: Landing, Landing, Landing")
    )
    scenes = [shot.scene for shot in shots_of(often)]
    assert len(set(scenes)) < len(scenes) / 1.8


def test_the_same_lesson_gives_the_same_bytes(tmp_path: Path) -> None:
    """Two writings of an overlay are equal."""
    for name in ("one.mp4", "two.mp4"):
        write(lesson_of(SONG), tmp_path / name)
    assert (tmp_path / "one.mp4").read_bytes() == (tmp_path / "two.mp4").read_bytes()


def test_colours_are_tagged_and_come_back(tmp_path: Path) -> None:
    """The file says BT.709 (ITU-T H.273: 1), constant 30 frames a second, and paper is paper."""
    path = tmp_path / "x.mp4"
    write(lesson_of(SONG), path)
    with av.open(str(path)) as file:
        stream = file.streams.video[0]
        context = stream.codec_context
        tags = (context.colorspace, context.color_primaries, context.color_trc, context.color_range)
        assert [int(tag) for tag in tags] == [1, 1, 1, 1]
        assert stream.average_rate == stream.base_rate == 30
        frame: Any = next(file.decode(video=0))
        rgb = frame.reformat(format="rgb24", src_colorspace="ITU709").to_ndarray()
    paper = [int(LIGHT.paper[at : at + 2], 16) for at in (1, 3, 5)]
    assert np.abs(rgb[10, 10].astype(int) - paper).max() <= 3


def test_sound_and_picture_start_together(tmp_path: Path) -> None:
    """A click in the sound comes back at its second, within a few milliseconds of AAC."""
    lesson = lesson_of(SONG)
    track = np.zeros((round(clock(lesson).total_s * 44_100), 2), np.float32)
    track[88_200:88_240] = 0.8
    write_flac(tmp_path / "s.flac", track, 44_100)
    write(lesson, tmp_path / "x.mp4", sound=tmp_path / "s.flac")
    with av.open(str(tmp_path / "x.mp4")) as file:
        blocks = [(f.time, f.to_ndarray()) for f in file.decode(audio=0)]
    peak = max(blocks, key=lambda block: float(np.abs(block[1]).max()))
    at = (peak[0] or 0) + int(np.abs(peak[1][0]).argmax()) / 44_100
    assert at == pytest.approx(2.0, abs=0.003)


def test_the_decoded_sound_stays_under_the_ceiling(tmp_path: Path) -> None:
    """Noise at full scale comes back from AAC at -1 dBTP or less, and hardly softer."""
    noise = np.random.default_rng(7).uniform(-1, 1, (44_100, 2)).astype(np.float32)
    write_flac(tmp_path / "s.flac", noise, 44_100)
    write_aac(tmp_path / "s.m4a", tmp_path / "s.flac")
    samples, rate = read_audio(tmp_path / "s.m4a")
    assert -1.5 < true_peak_dbtp(samples, rate) <= -1.0


@pytest.mark.parametrize("layout", [WIDE, TALL])
def test_boxes_lie_apart_inside_the_safe_margin_on_even_pixels(layout: Layout) -> None:
    """No box leaves the inner 90 %, none covers another, all sides are even."""
    boxes = [getattr(layout, name) for name in layout.__dataclass_fields__]
    boxes = [box for box in boxes if isinstance(box, Box)]
    assert len(boxes) == 8
    for box in boxes:
        assert box.x >= 0.05 * layout.width and box.y >= 0.05 * layout.height
        assert box.x + box.width <= 0.95 * layout.width
        assert box.y + box.height <= 0.95 * layout.height
        assert not any(side % 2 for side in (box.x, box.y, box.width, box.height))
    for place, a in enumerate(boxes):
        for b in boxes[place + 1 :]:
            apart = a.x + a.width <= b.x or b.x + b.width <= a.x
            assert apart or a.y + a.height <= b.y or b.y + b.height <= a.y


def test_sizes_are_those_of_the_look() -> None:
    """The grip has 55 % of the height, the next 25 %; capitals are 7 % of the frame.

    A capital of our sans is 0.66 of its size (its OS/2 table's sCapHeight).
    """
    assert WIDE.grip.height / WIDE.height == pytest.approx(0.55, abs=0.005)
    assert WIDE.next_grip.height / WIDE.height == pytest.approx(0.25, abs=0.005)
    assert 0.66 * min(WIDE.symbol_px, WIDE.part_px) >= 0.07 * WIDE.height


@pytest.mark.parametrize("text", ["A very long name of a part that no frame can hold in a line",
                                  "<script>&", "Überfahrt ♭"])  # fmt: skip
def test_any_name_of_a_part_is_drawn(text: str) -> None:
    """Names are escaped and cut to their room."""
    lesson = lesson_of(SONG.replace("Open Water", text.replace("<script>", "(script)")))
    board = Board(WIDE, lesson.neck, LIGHT, {}, lesson.title)
    canvas = Canvas(WIDE.width, WIDE.height, LIGHT.paper, YUV420)
    planes = canvas.picture(tiles(board, shots_of(lesson)[0].scene))
    bright = planes[0]
    assert bright[WIDE.part.y :][: WIDE.part.height].min() < 128
    assert bright[:, : WIDE.part.x].min() > 200 and bright[:, -96:].min() > 200


def test_sound_of_a_high_rate_becomes_aac_of_48_khz(tmp_path: Path) -> None:
    """AAC and MP3 know no 192 kHz; length and level stay."""
    x = 0.3 * np.sin(2 * np.pi * 440 * np.arange(192_000) / 192_000)
    write_flac(tmp_path / "s.flac", x.astype(np.float32), 192_000)
    write_aac(tmp_path / "s.m4a", tmp_path / "s.flac", mono=True)
    samples, rate = read_audio(tmp_path / "s.m4a")
    assert rate == 48_000 and len(samples) == pytest.approx(48_000, abs=1024)
    assert np.abs(samples[4_000:40_000]).max() == pytest.approx(0.3, abs=0.02)
