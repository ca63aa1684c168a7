"""How fast sound is performed, rendered, levelled, stretched, read and written, with peers.

Run ``python benchmarks/sound.py [SECONDS]`` (default 180 seconds of song; the peers need the
``eval`` extra, fluidsynth with its sound font and ffmpeg; a peer that is not there is left out).
Every row is one cold run and the best of two warm ones, in seconds of processor time of one
process; peers that are other programs are timed on the wall. The last rows read an hour of
stereo at 48 kHz as a stream and tell the peak of memory.
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np

from gripwright.beats import Metre
from gripwright.dsp.loudness import integrated_lufs, set_loudness
from gripwright.dsp.media import stream_audio
from gripwright.dsp.sound_file import write_flac, write_mp3, write_wav
from gripwright.dsp.stretch import stretch
from gripwright.dsp.strings import render
from gripwright.formats.midi import write_midi
from gripwright.formats.musicxml import write_musicxml
from gripwright.lesson.model import Bar, Chord, ChordEvent, Lesson, Part, Pattern, Stroke
from gripwright.lesson.perform import perform
from gripwright.neck.grip import parse_grip
from gripwright.theory.symbol import parse_symbol
from gripwright.timing import steady

RATE = 44_100
TEMPO = Fraction(96)
FONT = os.environ.get("SOUND_FONT", "")  # a General MIDI sound font for the peer
GRIPS = "x32010 x02210 xx0232 320003 022000 133211 x24432 x13331 2x0232 x35453 5x555x x3243x"
NAMES = "C Am D G E F Bm Bb D/F# Cm7 Am7 Cmaj9"


def song(seconds: float) -> Lesson:
    """Return a strummed song in eighths over twelve grips."""
    chords = [
        Chord(name, parse_symbol(name), parse_grip(grip))
        for name, grip in zip(NAMES.split(), GRIPS.split(), strict=True)
    ]
    half = Fraction(1, 2)
    strokes = tuple(
        Stroke(n * half, half, "up" if n % 2 else "down", accent=n == 2) for n in range(8)
    )
    pattern = Pattern("eighths", Fraction(4), strokes)
    count = round(seconds * float(TEMPO) / 60 / 4)
    bars = tuple(
        Bar(Metre(), Fraction(4), (ChordEvent(Fraction(0), Fraction(4), chords[n % 12]),),
            pattern=pattern)
        for n in range(count)
    )  # fmt: skip
    return Lesson("Bench", tempo_bpm=TEMPO, parts=(Part("All", bars),), order=("All",))


def row(name: str, work: Callable[[], object], *, wall: bool = False, times: int = 3) -> None:
    """Print how long something takes, the first time and at best."""
    clock = time.perf_counter if wall else time.process_time
    taken = []
    for _ in range(times):
        start = clock()
        work()
        taken.append(clock() - start)
    best = min(taken[1:], default=taken[0])
    print(f"{name:<44} {taken[0]:8.3f} {best:8.3f}")


def peers(folder: Path, lesson: Lesson, x: np.ndarray) -> None:
    """Time what others take for the same."""
    (folder / "song.mid").write_bytes(write_midi(lesson))
    if shutil.which("fluidsynth") and Path(FONT).is_file():
        command = ["fluidsynth", "-ni", "-F", str(folder / "peer.wav"), FONT,
                   str(folder / "song.mid")]  # fmt: skip
        row(
            "  peer: fluidsynth, same song (wall)",
            lambda: subprocess.run(command, check=True, capture_output=True),
            wall=True,
            times=2,
        )
    if shutil.which("ffmpeg"):
        write_wav(folder / "song.wav", x / np.abs(x).max(), RATE)
        command = ["ffmpeg", "-nostats", "-i", str(folder / "song.wav"), "-af",
                   "ebur128=peak=true", "-f", "null", "-"]  # fmt: skip
        row(
            "  peer: ffmpeg ebur128, measuring only (wall)",
            lambda: subprocess.run(command, check=True, capture_output=True),
            wall=True,
            times=2,
        )
    try:
        import librosa
    except ImportError:
        return
    minute = np.ascontiguousarray(x[: 60 * RATE].T)
    row(
        "  peer: librosa, a minute to twice as long",
        lambda: librosa.effects.time_stretch(minute, rate=0.5),
        times=2,
    )


def an_hour(folder: Path) -> None:
    """Time reading an hour of stereo as a stream, and tell the memory it took."""
    chunk = (0.1 * np.random.default_rng(1).standard_normal((48_000 * 60, 2))).astype(np.float32)
    write_flac(folder / "hour.flac", np.tile(chunk, (60, 1)), 48_000)
    code = (
        "import sys; from gripwright.dsp.media import stream_audio\n"
        "count = sum(len(b) for b in stream_audio(sys.argv[1], rate=22050, mono=True))\n"
        "status = open('/proc/self/status').read()\n"  # not getrusage: it keeps the parent's peak
        "print(count, int(status.split('VmHWM:')[1].split()[0]) // 1024)"
    )
    start = time.perf_counter()
    told = subprocess.run([sys.executable, "-c", code, str(folder / "hour.flac")],
                          check=True, capture_output=True, text=True).stdout.split()  # fmt: skip
    print(f"{'an hour of flac to 22 kHz mono (wall)':<44} {time.perf_counter() - start:8.3f}")
    print(f"{'  its peak of memory':<44} {told[1]:>5} MB for {told[0]} samples")


def main() -> None:
    """Print the table."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 180.0
    lesson = song(seconds)
    tempo = steady(lesson.tempo_bpm, lesson.metre)
    sounds = perform(lesson)
    print(f"{seconds:g} s of song, {len(sounds)} sounds{'':<16} {'first':>8} {'best':>8}")
    row("perform", lambda: perform(lesson))
    row("render, stereo at 44.1 kHz", lambda: render(sounds, lesson.neck, tempo))
    x = render(sounds, lesson.neck, tempo)
    row("measure loudness", lambda: integrated_lufs(x, RATE))
    row("set loudness and true peak", lambda: set_loudness(x, RATE))
    y = set_loudness(x, RATE)
    row("stretch a minute to twice as long", lambda: stretch(y[: 60 * RATE], RATE, 2.0))
    row("  the same by our own method", lambda: stretch(y[: 60 * RATE], RATE, 2.0, plain=True),
        times=2)  # fmt: skip
    row("write MusicXML", lambda: write_musicxml(lesson))
    row("write MIDI", lambda: write_midi(lesson))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        row("write FLAC", lambda: write_flac(folder / "a.flac", y, RATE))
        row("write MP3", lambda: write_mp3(folder / "a.mp3", y, RATE), times=2)
        row("read FLAC", lambda: list(stream_audio(folder / "a.flac")))
        row("read MP3", lambda: list(stream_audio(folder / "a.mp3")))
        peers(folder, lesson, y)
        an_hour(folder)
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"{'peak of memory of this run':<44} {used:>5} MB")


if __name__ == "__main__":
    main()
