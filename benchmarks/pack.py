"""How fast a pack is built: a three-minute lesson with 24 grips, and a prose edit of it.

    python benchmarks/pack.py

Everything runs through the command line in new processes, with a cache that is empty at first.
Goals (issue 2): the whole pack in 0.25 times the lesson's length on two cores, its video ten
times faster than real time, a prose edit in under a second. The peer of the video is the same
encoder given every frame; it runs on ten seconds only and is scaled up.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import av
import numpy as np

from gripwright.lesson.model import Lesson
from gripwright.lesson.text import parse
from gripwright.pack.views import chords_with_grips
from gripwright.screen.clock import clock
from gripwright.screen.shots import FPS, frame_at

GRIPS = (
    "Fmaj9 x8798x", "Em7(b5) x7878x", "A7(b9) 5x5656", "Dm9 x5355x", "G13 3x345x", "Gm9 3x3335",
    "C9sus4 x3333x", "C7(b9) x3232x", "Am7 5x555x", "Abdim7 4x343x", "C13 x32335", "F6/9 x87788",
    "Bbm9 6x6668", "Eb9 x6566x", "Abmaj7 4x554x", "Db6/9 x4334x", "Cm7 x3534x", "F7(#9) x8789x",
    "Eb13sus4 x66668", "Abmaj9 x-11-10-12-11-x", "Gb7(#11) 2x231x", "Bbmaj9 x1021x",
    "Bbm6 6x566x", "Fadd9/A x03213",
)  # fmt: skip
BARS, TEMPO = 70, 93


def lesson_text(prose: str) -> str:
    """Return a lesson of three minutes with all the grips, changing twice a bar."""
    names = [grip.split()[0] for grip in GRIPS]
    pairs = [(names[2 * n % 24], names[(2 * n + 1) % 24]) for n in range(BARS)]
    rows = [
        "| " + " | ".join(f"{a} / {b} /" for a, b in pairs[at : at + 4]) + " |"
        for at in range(0, BARS, 4)
    ]
    half = len(rows) // 2
    return "\n".join([
        "---", "title: Benchmark", f"tempo: {TEMPO}", "metre: 4/4", "---", "", prose, "",
        "```grips", *GRIPS, "```", "", "```part A", *rows[:half], "```", "",
        "```part B", *rows[half:], "```", "",
    ])  # fmt: skip


def cpu_s() -> float:
    """Return the processor time that ended child processes took."""
    usage = resource.getrusage(resource.RUSAGE_CHILDREN)
    return usage.ru_utime + usage.ru_stime


def timed_build(lesson: Path, desk: Path) -> tuple[float, float, list[str]]:
    """Return a build's seconds by the clock and of the processor, and the stages that ran."""
    start, busy = time.perf_counter(), cpu_s()
    run = subprocess.run(
        [sys.executable, "-m", "gripwright", "build", str(lesson), "-o", str(desk / "pack"),
         "--cache", str(desk / "cache"), "--json", "--anyway"],
        capture_output=True, check=True,
    )  # fmt: skip
    return time.perf_counter() - start, cpu_s() - busy, json.loads(run.stdout)["made"]


def plain_video_s(frames: int, folder: Path) -> float:
    """Return the seconds that the encoder takes for frames of a still picture, one by one."""
    picture = np.full((1080, 1920, 3), 250, np.uint8)
    picture[200:800, 100:700:90] = 30
    start = time.perf_counter()
    with av.open(str(folder / "plain.mp4"), "w") as file:
        stream = file.add_stream("libx264", rate=FPS)
        stream.width, stream.height, stream.pix_fmt = 1920, 1080, "yuv420p"
        stream.options = {"preset": "veryfast"}
        for _ in range(frames):
            file.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        file.mux(stream.encode(None))
    return time.perf_counter() - start


def video_s(lesson: Lesson, desk: Path) -> float:
    """Return the seconds of the overlay alone, its sound already there."""
    code = (
        "import sys, time; from pathlib import Path\n"
        "from gripwright.lesson.text import parse\n"
        "from gripwright.pack.stage import Job\n"
        "from gripwright.pack.stages import overlay\n"
        "lesson = parse(Path(sys.argv[1]).read_text()).lesson\n"
        "folder = Path(sys.argv[2])\n"
        "given = {'play-full.flac': folder / 'pack' / 'play-full.flac'}\n"
        "start = time.perf_counter()\n"
        "settings = {'left_handed': False, 'background': None}\n"
        "overlay.make(Job(lesson, settings, given, folder))\n"
        "print(time.perf_counter() - start)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(desk / "lesson.md"), str(desk)],
        capture_output=True, check=True, text=True,
    )  # fmt: skip
    return float(run.stdout)


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        desk = Path(folder)
        path = desk / "lesson.md"
        path.write_text(lesson_text("Some prose."), encoding="utf-8")
        lesson = parse(path.read_text(encoding="utf-8")).lesson
        assert lesson is not None
        times = clock(lesson)
        length = times.end_s - times.tempo_map.seconds(lesson.pickup)
        print(f"a lesson of {length:.0f} s with {len(chords_with_grips(lesson))} grips")
        print("                   clock   processor")
        whole, busy, made = timed_build(path, desk)
        share = f"{whole / length:.3f} of its length, {len(made)} stages"
        print(f"whole pack       {whole:7.2f} {busy:7.2f} s  {share}")
        busy = cpu_s()
        video = video_s(lesson, desk)
        busy = cpu_s() - busy
        print(
            f"video alone      {video:7.2f} {busy:7.2f} s  {times.total_s / video:.0f} x real time"
        )
        plain = plain_video_s(10 * FPS, desk) * frame_at(times.total_s) / (10 * FPS)
        print(f"  frame by frame {plain:7.2f}         s  {times.total_s / plain:.0f} x real time")
        edits = []
        for number in range(5):
            path.write_text(lesson_text(f"Other prose, {number}."), encoding="utf-8")
            edits.append(timed_build(path, desk))
        seconds, busy, made = min(edits)
        print(f"prose edit       {seconds:7.2f} {busy:7.2f} s  best of 5: {', '.join(made)}")
        seconds, busy, _ = timed_build(path, desk)
        print(f"no edit          {seconds:7.2f} {busy:7.2f} s")


if __name__ == "__main__":
    main()
