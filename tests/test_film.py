"""The take's own picture: frames at their seconds, turned, square, in step with the sound."""

from __future__ import annotations

import json
import subprocess
import sys
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from av.stream import Disposition

from films import BRIGHT, DARK, FLASHES_S, TICKS, even_times, sound, write_film
from gripwright.draw.look import LIGHT, contrast
from gripwright.dsp.film import film_facts, film_frames
from gripwright.dsp.film_facts import FilmFacts
from gripwright.dsp.media import read_audio
from gripwright.dsp.sound_file import write_wav
from gripwright.errors import MediaError
from gripwright.pack.stage import Job, TakeFacts
from gripwright.pack.stages import take_film, take_sound, timeline
from gripwright.screen.film_layout import CORNERS, cornered, film_size, stacked
from gripwright.screen.layout import PLATE, TALL, WIDE, Box, Layout
from gripwright.screen.planes import YUV420, Canvas, video_frame
from gripwright.screen.shots import Scene
from gripwright.screen.take import TakeEvent
from gripwright.screen.tiles import Board, tiles
from packing import TEXT, lesson_of

SECONDS = 4.0


def varying() -> list[float]:
    """Return the times of frames of a phone: 18 to 40 a second, one long gap."""
    times = np.cumsum(np.random.default_rng(4).uniform(1 / 40, 1 / 18, 110)) - 1 / 40
    return [float(t) for t in times if t < SECONDS and not 2.3 < t < 2.8]


def shown(path: Path, size: tuple[int, int], total: int = 120) -> list[np.ndarray[Any, Any]]:
    """Return the brightness of every frame of a film brought to a size."""
    frames = film_frames(path, [size], fps=30, total=total)
    return [frame.to_ndarray()[: size[1], : size[0]] for (frame,) in frames]


def starts(lit: list[bool]) -> list[int]:
    """Return where runs of true begin."""
    return [n for n, (before, now) in enumerate(pairwise([False, *lit])) if now and not before]


def clicks_s(path: Path) -> list[float]:
    """Return when the clicks of a film sound."""
    samples, rate = read_audio(path)
    loud = np.flatnonzero(np.abs(samples[:, 0]) > 0.35) / rate
    return [float(s) for n, s in enumerate(loud) if n == 0 or s - loud[n - 1] > 0.5]


CASES = [
    ("steady.mp4", {}), ("fifty.mov", {"times_s": even_times(50, SECONDS)}),
    ("cinema.mkv", {"times_s": even_times(24, SECONDS)}),
    ("phone.mp4", {"times_s": varying()}), ("phone.mkv", {"times_s": varying()}),
    ("odd.mkv", {"size": (321, 179), "pixels": "yuv444p"}),
    ("deep.mov", {"pixels": "yuv420p10le"}),
    ("looking-ahead.mp4", {"options": {"bf": "3", "preset": "medium"}}),
    ("older.mov", {"codec": "mpeg4"}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "how"), CASES, ids=[name for name, _ in CASES])
def test_a_frame_is_the_last_picture_at_or_before_its_second(
    name: str, how: dict[str, Any], tmp_path: Path
) -> None:
    """The flash is on in frame n exactly when the last picture by n/30 s is a flash."""
    times = how.pop("times_s", None) or even_times(30, SECONDS)
    path = tmp_path / name
    write_film(path, times_s=times, seconds=SECONDS, **how)
    lit = [frame[:90].mean() > 180 for frame in shown(path, (320, 180))]
    ticks = 1_000 if name.endswith("mkv") else TICKS  # a Matroska block is timed in milliseconds
    stamps = [round(t * ticks) / ticks for t in times]
    want = []
    for number in range(120):
        last = max((t for t in stamps if t <= number / 30 + 0.5 / ticks), default=stamps[0])
        told = times[stamps.index(last)]
        want.append(any(flash - 1e-6 <= told < flash + 0.1 for flash in FLASHES_S))
    assert lit == want
    assert clicks_s(path) == pytest.approx(FLASHES_S, abs=0.004)


def test_a_phone_held_upright_is_turned(tmp_path: Path) -> None:
    """The bright left quarter comes to the top, and the size is that of the turned picture."""
    path = tmp_path / "phone.mp4"
    write_film(path, times_s=even_times(30, 1), seconds=1, turn=-90)
    facts = film_facts(path)
    assert facts and (facts.width, facts.height) == (180, 320)
    first = shown(path, (180, 320), 1)[0].astype(int)
    assert first[10:60, 10:150].mean() == pytest.approx(first[10, 10], abs=3)
    assert first[10:60, 10:150].mean() - first[120:200, 10:150].mean() > 0.7 * (BRIGHT - DARK)


def test_pixels_are_made_square(tmp_path: Path) -> None:
    """A picture of 240 x 180 whose pixels are 4:3 wide is 320 x 180 to be seen."""
    path = tmp_path / "wide.mp4"
    write_film(path, size=(240, 180), times_s=even_times(30, 1), seconds=1, shape=Fraction(4, 3))
    assert film_facts(path) == FilmFacts(320, 180, pytest.approx(1.0, abs=0.02))
    first = shown(path, (320, 180), 1)[0].astype(int)
    edge = np.flatnonzero(np.abs(np.diff(first[90])) > 10)
    assert abs(edge.mean() - 79.5) <= 2


def test_sound_alone_has_no_film(tmp_path: Path) -> None:
    """A recording has no picture; asked for frames it says so."""
    write_wav(tmp_path / "a.wav", sound(1.0), 44_100)
    assert film_facts(tmp_path / "a.wav") is None
    with pytest.raises(MediaError, match="no moving picture"):
        next(film_frames(tmp_path / "a.wav", [(320, 180)], fps=30, total=1))


def test_a_film_that_is_cut_off_is_told(tmp_path: Path) -> None:
    """Half of an mp4 whose index stands at its end cannot be opened; the words say so."""
    path = tmp_path / "a.mp4"
    write_film(path, times_s=even_times(30, 2), seconds=2)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(MediaError, match="damaged or cut off"):
        film_facts(path)


def test_a_film_cannot_open_another_file(tmp_path: Path) -> None:
    """A playlist in a film's clothes is refused, whatever it points to."""
    write_film(tmp_path / "real.mp4", times_s=even_times(30, 1), seconds=1)
    for text in ("#EXTM3U\n#EXTINF:1,\nreal.mp4\n", "ffconcat version 1.0\nfile real.mp4\n"):
        (tmp_path / "list.mp4").write_text(text)
        with pytest.raises(MediaError, match="not a recording"):
            film_facts(tmp_path / "list.mp4")


@pytest.mark.parametrize(
    ("size", "film"),
    [((1920, 1080), (1920, 1080)), ((3840, 2160), (1920, 1080)), ((1080, 1920), (1080, 1920)),
     ((641, 361), (852, 480)), ((2560, 1080), (1920, 810)), ((720, 720), (720, 720))],
)  # fmt: skip
def test_the_film_has_the_size_of_the_take_within_bounds(
    size: tuple[int, int], film: tuple[int, int]
) -> None:
    """From 480 to 1080 lines on the short side, 1920 on the long one, even."""
    assert film_size(*size) == film


@pytest.mark.parametrize("size", [(1920, 1080), (1080, 1920), (852, 480), (720, 720), (1920, 810)])
@pytest.mark.parametrize("share", [None, 0.25, 0.9])
def test_the_plate_stands_in_its_corner_inside_the_margins(
    size: tuple[int, int], share: float | None
) -> None:
    """5 % from the edges it is nearest to, even, and as high as was asked where that fits."""
    width, height = size
    for corner in CORNERS:
        plan = cornered(width, height, corner, share)
        left, top = plan.at
        right, bottom = width - left - plan.board.width, height - top - plan.board.height
        assert min(left, right) >= 0.05 * width - 2 and min(top, bottom) >= 0.05 * height - 2
        assert (left < right) is corner.endswith("left") or left == pytest.approx(right, abs=40)
        assert (top < bottom) is corner.startswith("top") or top == pytest.approx(bottom, abs=40)
        assert not any(side % 2 for side in (left, top, plan.board.width, plan.board.height))
        if share == 0.25:
            assert plan.board.height == pytest.approx(0.25 * height, abs=2)
    if size == (1920, 1080):
        assert cornered(*size, "top-left", None).at == (96, 64)


@pytest.mark.parametrize("size", [(1920, 1080), (1440, 1080), (720, 700), (2560, 1080)])
def test_the_tall_film_has_all_boxes_apart_below_the_picture(size: tuple[int, int]) -> None:
    """Inside its margins, whatever the picture's shape."""
    plan = stacked(*size)
    board = plan.board
    boxes = [getattr(board, name) for name in board.__dataclass_fields__]
    boxes = [box for box in boxes if isinstance(box, Box)]
    assert plan.picture.height + board.height == 1920 and plan.at[1] == plan.picture.height
    for place, a in enumerate(boxes):
        assert a.x >= 54 and a.x + a.width <= 1026 and a.y + a.height <= board.height - 96
        assert not any(side % 2 for side in (a.x, a.y, a.width, a.height))
        for b in boxes[place + 1 :]:
            apart = a.x + a.width <= b.x or b.x + b.width <= a.x
            assert apart or a.y + a.height <= b.y or b.y + b.height <= a.y
    assert board.grip.height >= 300


def events() -> tuple[TakeEvent, ...]:
    """Five events of the lesson, the first after a second."""
    return tuple(TakeEvent(n, 1.0 + 0.5 * n, 1.5 + 0.5 * n) for n in range(5))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The films of a take of four seconds whose picture flashes and whose sound clicks."""
    folder = tmp_path_factory.mktemp("film")
    write_film(folder / "take.mp4", size=(854, 480), times_s=varying(), seconds=SECONDS)
    facts = film_facts(folder / "take.mp4")
    settings = {
        "take": TakeFacts("0" * 64, SECONDS, events(), facts), "left_handed": False,
        "background": None, "corner": "bottom-right", "plate": 0.6, "film": True,
        "slow": Fraction(7, 10),
    }  # fmt: skip
    given = {"take": folder / "take.mp4"}
    take_sound.make(Job(lesson_of(), settings, given, folder))
    given["take-sound.m4a"] = folder / "take-sound.m4a"
    heard: list[float] = []
    paths = take_film.make(Job(lesson_of(), settings, given, folder, heard.append))
    assert [one.path for one in paths] == ["take-film.mp4", "take-film-tall.mp4"]
    assert heard == sorted(heard) and 0 <= heard[0] < heard[-1] <= 1
    timeline.make(Job(lesson_of(), settings, {}, folder))
    return folder


@pytest.mark.parametrize("name", ["take-film.mp4", "take-film-tall.mp4"])
def test_flash_and_click_stay_together_to_a_frame(made: Path, name: str) -> None:
    """In the film that was made each click falls within a frame of its flash."""
    with av.open(str(made / name)) as file:
        stream = file.streams.video[0]
        assert stream.average_rate == 30 and stream.start_time in (0, None)
        film = [frame.to_ndarray()[: frame.height] for frame in file.decode(stream)]
    assert len(film) in (120, 121)  # the last picture of the take may outlast its sound
    corner = [frame[8:200, 300:500].mean() > 180 for frame in film]
    # the phone itself shows a flash with its first picture after it
    phone = [min(t for t in varying() if t >= flash) for flash in FLASHES_S]
    clicks = clicks_s(made / name)
    assert clicks == pytest.approx(FLASHES_S, abs=0.004)
    for number, flash, click, picture in zip(starts(corner), FLASHES_S, clicks, phone, strict=True):
        assert 0 <= number / 30 - click - (picture - flash) + 0.004 < 1 / 30 + 0.008


def test_the_timeline_says_where_the_grip_is(made: Path) -> None:
    """In its crop box the picture changes with the grip; on the plate text is read."""
    said = json.loads((made / "timeline.json").read_text(encoding="utf-8"))
    rows = {row["path"]: row for row in said["media"]}
    film = rows["take-film.mp4"]
    assert (film["width"], film["height"]) == (854, 480)
    with av.open(str(made / "take-film.mp4")) as file:
        assert film["frames"] == file.streams.video[0].frames
    assert [event["start_s"] for event in film["events"]] == pytest.approx(
        [event.start_s for event in events()], abs=1 / 30
    )
    crop = film["events"][0]["crop"]
    assert crop["x"] > 427 and crop["y"] > 100
    with av.open(str(made / "take-film.mp4")) as file:
        frames = [f.reformat(format="gray").to_ndarray() for f in file.decode(video=0)]
    box = np.s_[crop["y"] : crop["y"] + crop["height"], crop["x"] : crop["x"] + crop["width"]]
    before, first = frames[20][box].astype(int), frames[40][box].astype(int)
    other = frames[68][box].astype(int)
    again = frames[50][box].astype(int)
    assert (np.abs(first - before) > 60).mean() > 0.05
    assert (np.abs(first - other) > 60).mean() > 0.005
    assert (np.abs(first - again) > 60).mean() < 0.0005


def test_the_plate_is_read_over_black_and_white(made: Path) -> None:
    """Under the flash and without it ink on the plate has 4.5:1 (WCAG 2.2, 1.4.3)."""
    plan = cornered(854, 480, "bottom-right", 0.6)
    box = plan.grip
    with av.open(str(made / "take-film.mp4")) as file:
        frames: list[Any] = list(file.decode(video=0))
    lit = [f for f in frames[36:] if f.to_ndarray()[8:200, 300:500].mean() > 180]
    assert lit
    for frame in (frames[50], lit[0]):
        seen = frame.reformat(format="rgb24", src_colorspace="ITU709").to_ndarray()
        crop = seen[box.y : box.y + box.height, box.x : box.x + box.width].reshape(-1, 3)
        bright = crop @ (0.2126, 0.7152, 0.0722)
        ground = "#" + np.median(crop[bright > 150], axis=0).astype(np.uint8).tobytes().hex()
        ink = "#" + crop[bright.argmin()].tobytes().hex()
        assert contrast(ink, ground) >= 4.5
        assert contrast(ground, LIGHT.paper) < 1.25


def test_the_same_take_gives_the_same_bytes(made: Path, tmp_path: Path) -> None:
    """A film written again is the same, encoder threads and all."""
    settings = {
        "take": TakeFacts("0" * 64, SECONDS, events(), film_facts(made / "take.mp4")),
        "left_handed": False, "background": None, "corner": "bottom-right", "plate": 0.6,
    }  # fmt: skip
    given = {"take": made / "take.mp4", "take-sound.m4a": made / "take-sound.m4a"}
    take_film.make(Job(lesson_of(TEXT), settings, given, tmp_path))
    for name in ("take-film.mp4", "take-film-tall.mp4"):
        assert (tmp_path / name).read_bytes() == (made / name).read_bytes()


def test_a_cover_is_no_film(tmp_path: Path) -> None:
    """The picture on an album's sleeve, as players write it into sound files."""
    path = tmp_path / "song.mp4"
    with av.open(str(path), "w") as out:
        audio: Any = out.add_stream("aac", rate=44_100, layout="mono")
        cover: Any = out.add_stream("mjpeg", rate=1)
        cover.width, cover.height, cover.pix_fmt = 64, 64, "yuvj420p"
        cover.disposition = Disposition.attached_pic
        grey = av.VideoFrame.from_ndarray(np.full((64, 64, 3), 99, np.uint8), "rgb24")
        out.mux(cover.encode(grey.reformat(format="yuvj420p")))
        out.mux(cover.encode(None))
        block = av.AudioFrame.from_ndarray(sound(1.0)[None, :1024], "fltp", "mono")
        block.sample_rate, block.pts = 44_100, 0
        out.mux(audio.encode(block))
        out.mux(audio.encode(None))
    assert film_facts(path) is None


def test_four_thousand_lines_wide_come_down_to_1080(tmp_path: Path) -> None:
    """A film of 3840 x 2160 is read, and its frames are 1920 x 1080."""
    path = tmp_path / "large.mp4"
    write_film(path, size=(3840, 2160), times_s=even_times(30, 0.1), seconds=0.1)
    facts = film_facts(path)
    assert facts and film_size(facts.width, facts.height) == (1920, 1080)
    frame = shown(path, (1920, 1080), 2)[1].astype(int)
    assert frame[500, 100] - frame[500, 1000] == pytest.approx(
        (BRIGHT - DARK) * 219 / 255, abs=4
    )  # BT.709, limited range: 219 steps


PROGRESS = """
import sys, types
from pathlib import Path
from gripwright.pack.cache import Cache
from gripwright.pack.run import plan, run
from gripwright.pack.stage import Made, Settings, Stage
from gripwright.pack.views import music
from packing import lesson_of

def make(job):
    for share in (0.25, 0.5, 0.75):
        job.told(share)
        time.sleep(0.3)
    job.place("x.txt").write_text("x")
    return (Made("x.txt", "audio"),)

import time
module = types.ModuleType("gripwright.pack.stages.slowly")
module.make = make
sys.modules[module.__name__] = module
heard = []
tasks = plan((Stage("slowly", "slowly", music, weight=1),), lesson_of(), Settings())
run(tasks, Cache(Path(sys.argv[1])), heard.append, processes=int(sys.argv[2]))
print(" ".join(f"{step.state}:{step.done}" for step in heard))
"""


@pytest.mark.parametrize("processes", ["1", "2"])
def test_a_long_stage_tells_how_far_it_is(tmp_path: Path, processes: str) -> None:
    """In the same process and from a worker: the steps of a build grow with it."""
    run = subprocess.run(
        [sys.executable, "-c", PROGRESS, str(tmp_path), processes], check=True, text=True,
        capture_output=True, cwd=Path(__file__).parent,
    )  # fmt: skip
    steps = run.stdout.split()
    assert steps[-1] == "made:1.0"
    assert {"running:0.25", "running:0.5"} <= set(steps)


@pytest.mark.parametrize(
    ("size", "red"), [((1280, 720), (63, 102, 240)), ((640, 360), (81, 90, 240))]
)
def test_colours_that_are_not_tagged_come_out_true(
    size: tuple[int, int], red: tuple[int, int, int], tmp_path: Path
) -> None:
    """Full red as ITU-R BT.709 (large pictures) and BT.601 (small ones) code it, in eight bits.

    That a matrix which is not said goes by size is common practice, no source.
    """
    path = tmp_path / "red.mp4"
    with av.open(str(path), "w") as out:
        video: Any = out.add_stream("libx264", rate=30)
        video.width, video.height, video.pix_fmt = *size, "yuv420p"
        audio: Any = out.add_stream("aac", rate=44_100, layout="mono")
        planes = [
            np.full((size[1] // by, size[0] // by), value, np.uint8)
            for value, by in zip(red, (1, 2, 2), strict=True)
        ]
        out.mux(video.encode(video_frame(tuple(planes), YUV420)))
        out.mux(video.encode(None))
        block = av.AudioFrame.from_ndarray(sound(1.0)[None, :1024], "fltp", "mono")
        block.sample_rate, block.pts = 44_100, 0
        out.mux(audio.encode(block))
        out.mux(audio.encode(None))
    ((frame,),) = film_frames(path, [(320, 180)], fps=30, total=1)
    seen = frame.to_ndarray()
    y, u, v = seen[:180, :320], seen[180:225], seen[225:]
    assert [float(np.median(plane)) for plane in (y, u, v)] == pytest.approx([63, 102, 240], abs=2)


def test_the_symbol_on_the_plate_is_read_on_a_phone() -> None:
    """Capitals are 0.66 of the size of type and at least 7 % of a wide film, as in the overlay."""
    plan = cornered(1920, 1080, "top-left", None)
    assert 0.66 * plan.board.symbol_px >= 0.07 * 1080


@pytest.mark.parametrize(
    "board",
    [cornered(1920, 1080, "top-left", None).board, stacked(1920, 1080).board, WIDE, TALL, PLATE],
)
def test_nothing_of_a_symbol_is_cut_off(board: Layout) -> None:
    """What is raised and in brackets ends inside the sheet of the symbol, above and below."""
    lesson = lesson_of(TEXT.replace("E7(#9)", "Gb7(b9,#11)"))
    chord = next(chord for chord in lesson.grips if chord.name.startswith("Gb7"))
    sheet = tiles(Board(board, lesson.neck, LIGHT, {}, ""), Scene(chord, None, None))
    (svg,) = [svg for box, svg in sheet if box == board.symbol]
    canvas = Canvas(board.width, board.height, LIGHT.paper, YUV420)
    dark = canvas.picture([(board.symbol, svg)])[0] < 128
    rows = np.flatnonzero(dark.any(axis=1))
    assert board.symbol.y < rows[0] and rows[-1] < board.symbol.y + board.symbol.height - 1
