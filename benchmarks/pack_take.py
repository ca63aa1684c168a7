"""How fast what follows a take is made, and in how much memory.

    python benchmarks/pack_take.py [MINUTES]

MINUTES (default 2) is the length of the take whose slow version is made; its memory is told for
half of it beside it, so that a stream shows. The film is a made one of 1080 lines with a moving
picture and grain, 20 s long and 60 s long. Its peer is the same decoder and encoder with nothing
laid between them. Goal for an overlay: ten times faster than real time. Every row is a process of
its own; processor time counts all its threads.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import soundfile

from gripwright.dsp.film import film_facts, film_frames
from gripwright.lesson.text import parse
from gripwright.lesson.unroll import played_events
from gripwright.pack.digest import file_digest
from gripwright.pack.stage import BACKGROUND, TAKE, TAKE_SOUND, Job, TakeFacts
from gripwright.pack.stages import take_film, take_overlay, take_slow, take_sound
from gripwright.screen.film import ENCODING
from gripwright.screen.shots import FPS
from gripwright.screen.take import TakeEvent
from gripwright.screen.video import bt709_stream

LESSON = """---
title: Benchmark
tempo: 100
metre: 4/4
---

```part A
| 5x555x=Am7 / 3x0003=G / | x32010=C / / 133211=F | x02210=Am _ x7678x=E7(#9) / |
```
"""
RATE = 48_000


def write_sound(place: Path, seconds: int) -> None:
    """Write stereo plucks as FLAC, second by second."""
    time_s = np.arange(RATE) / RATE
    chance = np.random.default_rng(0)
    with soundfile.SoundFile(place, "w", RATE, 2) as out:
        for second in range(seconds):
            tone = np.sin(2 * np.pi * (110 + second % 7 * 20) * time_s)
            x = 0.3 * tone * np.exp(-4 * (time_s % 0.5)) + chance.normal(0, 0.003, RATE)
            out.write(np.stack([x, 0.7 * x], 1).astype(np.float32))


def write_film(place: Path, seconds: int) -> None:
    """Write a film of 1080 lines: soft shapes that move over a ground with grain, and sound."""
    rows, columns = np.mgrid[0:1080, 0:1920].astype(np.float32)
    grain = np.random.default_rng(1).normal(0, 3, (1080, 1920, 1))
    pictures = []
    for number in range(24):
        at = 960 + 200 * np.sin(number / 24 * 2 * np.pi)
        near = np.exp(-(((columns - at) / 300) ** 2 + ((rows - 640) / 260) ** 2))[..., None]
        rgb = near * (150, 90, 40) + (1 - near) * (200, 190, 175) + np.roll(grain, number * 7, 1)
        frame = av.VideoFrame.from_ndarray(np.clip(rgb, 0, 255).astype(np.uint8), "rgb24")
        pictures.append(frame.reformat(format="yuv420p", dst_colorspace="ITU709"))
    with av.open(str(place), "w") as out:
        video: Any = out.add_stream("libx264", rate=FPS)
        video.width, video.height, video.pix_fmt = 1920, 1080, "yuv420p"
        video.codec_context.options = {"preset": "ultrafast", "crf": "20"}
        audio: Any = out.add_stream("aac", rate=RATE, layout="stereo")
        for number in range(seconds * FPS):
            frame = pictures[number % 24]
            frame.pts = number
            out.mux(video.encode(frame))
        out.mux(video.encode(None))
        tone = 0.2 * np.sin(2 * np.pi * 220 * np.arange(seconds * RATE) / RATE)
        for start in range(0, len(tone), 1024):
            block = tone[start : start + 1024].astype(np.float32)
            sound = av.AudioFrame.from_ndarray(np.stack([block, block]), "fltp", "stereo")
            sound.sample_rate, sound.pts = RATE, start
            out.mux(audio.encode(sound))
        out.mux(audio.encode(None))


def write_picture(place: Path) -> None:
    """Write a picture to lie under an overlay."""
    small = np.random.default_rng(2).integers(0, 256, (30, 40, 3)).astype(np.uint8)
    frame = av.VideoFrame.from_ndarray(small, "rgb24").reformat(1600, 1200, "rgb24")
    with av.open(str(place), "w", format="image2") as out:
        stream: Any = out.add_stream("png", rate=1)
        stream.width, stream.height, stream.pix_fmt = 1600, 1200, "rgb24"
        out.mux(stream.encode(frame))
        out.mux(stream.encode(None))


def job(folder: Path, take: Path, seconds: float, **more: Any) -> Job:
    """Return the job of a take in which a chord is struck every second."""
    lesson = parse(LESSON).lesson
    assert lesson is not None
    many = len(played_events(lesson))
    events = tuple(TakeEvent(n % many, n, n + 1.0) for n in range(int(seconds)))
    film = film_facts(take) if take.suffix == ".mp4" else None
    settings = {
        "take": TakeFacts("0" * 64, seconds, events, film), "left_handed": False,
        "background": None, "corner": "top-left", "plate": None, **more,
    }  # fmt: skip
    given = {TAKE: take, BACKGROUND: folder / "under.png", TAKE_SOUND: folder / TAKE_SOUND}
    return Job(lesson, settings, given, folder)


def slow(folder: Path, name: str, seconds: float) -> None:
    """Make the take last 1/0.85 times as long, with its overlay."""
    take_slow.make(job(folder, folder / name, seconds, percent=85))


def overlay(folder: Path, name: str, seconds: float) -> None:
    """Make the overlay of a take."""
    take_overlay.make(job(folder, folder / name, seconds, layout="wide"))


def overlay_on_picture(folder: Path, name: str, seconds: float) -> None:
    """Make the overlay of a take on a picture."""
    under = file_digest(folder / "under.png")
    take_overlay.make(job(folder, folder / name, seconds, layout="wide", background=under))


def films(folder: Path, name: str, seconds: float) -> None:
    """Lay grips on the take's own picture, wide and tall."""
    take_film.make(job(folder, folder / name, seconds))


def peer(folder: Path, name: str, seconds: float) -> None:
    """Decode and encode the picture once, with nothing between."""
    with av.open(str(folder / "peer.mp4"), "w") as out:
        stream = bt709_stream(out, 1920, 1080, FPS, ENCODING)
        frames = film_frames(folder / name, [(1920, 1080)], fps=FPS, total=int(seconds * FPS))
        for number, (frame,) in enumerate(frames):
            frame.pts, frame.time_base = number, Fraction(1, FPS)
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))


ROWS: dict[str, Callable[[Path, str, float], None]] = {
    one.__name__: one for one in (slow, overlay, overlay_on_picture, films, peer)
}


def peak_mb() -> float:
    """Return the most memory that this process had; what it was forked from does not count."""
    status = Path("/proc/self/status")
    if status.exists():
        rows = dict(row.split(":", 1) for row in status.read_text("utf-8").splitlines())
        return int(rows["VmHWM"].split()[0]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def timed(row: str, folder: Path, name: str, seconds: float) -> None:
    """Print one row, made in a process of its own."""
    run = subprocess.run(
        [sys.executable, __file__, "--row", row, str(folder), name, str(seconds)],
        capture_output=True, check=True, text=True,
    )  # fmt: skip
    clock, busy, peak = json.loads(run.stdout)
    print(
        f"{row.replace('_', ' '):<20} {seconds:6.0f} {clock:8.1f} {busy:8.1f} {peak:8.0f}"
        f"   {seconds / clock:5.1f} x real time"
    )


def main() -> None:
    """Print the table."""
    if sys.argv[1:2] == ["--row"]:
        row, folder, name, seconds = sys.argv[2:]
        start = time.perf_counter()
        ROWS[row](Path(folder), name, float(seconds))
        print(json.dumps([time.perf_counter() - start, time.process_time(), peak_mb()]))
        return
    minutes = float(sys.argv[1]) if len(sys.argv) > 1 else 2
    with tempfile.TemporaryDirectory() as desk:
        folder = Path(desk)
        write_picture(folder / "under.png")
        for seconds in (20, 60):
            write_film(folder / f"film-{seconds}.mp4", seconds)
        print(f"{'':<20} {'take s':>6} {'clock s':>8} {'busy s':>8} {'peak MB':>8}")
        for share in (0.5, 1.0):
            seconds = round(60 * minutes * share)
            write_sound(folder / "take.flac", seconds)
            timed("slow", folder, "take.flac", seconds)
        write_sound(folder / "take.flac", 180)
        take_sound.make(job(folder, folder / "take.flac", 180.0))
        timed("overlay", folder, "take.flac", 180)
        timed("overlay_on_picture", folder, "take.flac", 180)
        for seconds in (20, 60):
            take_sound.make(job(folder, folder / f"film-{seconds}.mp4", float(seconds)))
            timed("films", folder, f"film-{seconds}.mp4", seconds)
        timed("peer", folder, "film-20.mp4", 20)


if __name__ == "__main__":
    main()
