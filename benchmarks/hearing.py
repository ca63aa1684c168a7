"""Speed of hear and sync against real time, beside librosa's chroma and beats.

    python benchmarks/hearing.py

The take is one demo-sized song played by our own strings for two minutes, warm, in one process.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from fractions import Fraction

import librosa
import numpy as np
import soxr

from gripwright.dsp.strings import render
from gripwright.hearing.bands import RATE
from gripwright.hearing.hear import hear
from gripwright.hearing.sound import Heard
from gripwright.hearing.sync import sync
from gripwright.lesson.perform import perform
from gripwright.lesson.text import parse
from gripwright.timing import steady

BARS = "| x32010 / x02210 / | xx0232 / 320003 / | 133211 / / / | x13331 / x02220 / |\n"
SONG = f"---\ntitle: B\ntempo: 96\nmetre: 4/4\n---\n\n```part verse\n{BARS * 12}```\n"


def take() -> tuple[Heard, object]:
    """Return the take and its lesson."""
    lesson = parse(SONG).lesson
    assert lesson is not None
    x = render(perform(lesson), lesson.neck, steady(Fraction(96), lesson.metre, 0.5))
    mono = soxr.resample(x.mean(axis=1), 44_100, RATE)
    return Heard(np.asarray(0.5 * mono / np.abs(mono).max(), np.float32)), lesson


def timed(work: Callable[[], object]) -> float:
    """Return the least seconds of three runs after one that warms up."""
    work()
    spans = []
    for _ in range(3):
        began = time.perf_counter()
        work()
        spans.append(time.perf_counter() - began)
    return min(spans)


def main() -> None:
    """Print how many times faster than real time each is."""
    heard, lesson = take()
    rows = {
        "hear": lambda: hear(heard),
        "hear, plain": lambda: hear(heard, plain=True),
        "sync": lambda: sync(lesson, heard),
        "librosa chroma and beats (peer)": lambda: (
            librosa.feature.chroma_cqt(y=heard.samples, sr=RATE),
            librosa.beat.beat_track(y=heard.samples, sr=RATE),
        ),
    }
    print(f"take of {heard.duration_s:.0f} s")
    for name, work in rows.items():
        spent = timed(work)
        print(f"{name:32} {spent:6.2f} s, {heard.duration_s / spent:5.0f} times real time")


if __name__ == "__main__":
    main()
