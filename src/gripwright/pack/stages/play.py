"""A play-through as sound: counted in, at one share of the tempo, FLAC and MP3.

The notes are struck anew at every tempo, so the slow one keeps pitch and attack.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from gripwright.dsp.loudness import set_loudness
from gripwright.dsp.sound_file import write_flac, write_mp3
from gripwright.dsp.strings import render
from gripwright.lesson.perform import perform
from gripwright.pack.stage import Job, Made
from gripwright.screen.clock import clock

RATE = 44_100
_CLICK_S, _CLICK_LEVEL = 0.05, 0.25
_FIRST_HZ, _OTHER_HZ = 1480.0, 1110.0

Sound = np.ndarray[Any, np.dtype[np.float64]]


def make(job: Job) -> tuple[Made, ...]:
    """Write ``<name>.flac`` and ``<name>.mp3``; raises BuildError."""
    lesson, name = job.lesson, job.settings["name"]
    times = clock(lesson, job.settings["speed" if "speed" in job.settings else "slow"])
    samples = math.ceil(times.total_s * RATE)
    track = np.zeros((samples, 2))
    strings = render(perform(lesson), lesson.neck, times.tempo_map, rate=RATE)[:samples]
    track[: len(strings)] += strings
    level = float(np.abs(strings).max(initial=0.0)) or 1.0
    beats = len(lesson.metre.beats)
    for index, second in enumerate(times.counts_s):
        _add_click(track, second, index % beats == 0, _CLICK_LEVEL * level)
    track = set_loudness(track, RATE, lufs=job.settings["loudness_lufs"])
    for kind, write in (("flac", write_flac), ("mp3", write_mp3)):
        write(job.place(f"{name}.{kind}"), track, RATE)
    seconds = samples / RATE
    return (
        Made(f"{name}.flac", "audio", seconds, supporter=False),
        Made(f"{name}.mp3", "audio", seconds),
    )


def _add_click(track: Sound, second: float, first: bool, level: float) -> None:
    """Add a click of the count-in: a short dying tone, higher on the first beat of a bar."""
    time_s = np.arange(round(_CLICK_S * RATE)) / RATE
    tone = np.sin(2 * np.pi * (_FIRST_HZ if first else _OTHER_HZ) * time_s)
    start = round(second * RATE)
    track[start : start + len(time_s)] += (level * tone * np.exp(-time_s * 90))[:, None]
