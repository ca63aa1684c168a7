"""A play-through as sound: counted in, at one share of the tempo, FLAC and MP3.

The notes are struck anew at every tempo, so the slow one keeps pitch and attack.
"""

from __future__ import annotations

import math

import numpy as np

from gripwright.dsp.click import add_clicks
from gripwright.dsp.loudness import set_loudness
from gripwright.dsp.sound_file import write_flac, write_mp3
from gripwright.dsp.strings import render
from gripwright.lesson.perform import perform
from gripwright.pack.stage import Job, Made
from gripwright.screen.clock import clock

RATE = 44_100
_CLICK_LEVEL = 0.25


def make(job: Job) -> tuple[Made, ...]:
    """Write ``<name>.flac`` and ``<name>.mp3``; raises BuildError."""
    lesson, name = job.lesson, job.settings["name"]
    times = clock(lesson, job.settings["speed" if "speed" in job.settings else "slow"])
    samples = math.ceil(times.total_s * RATE)
    track = np.zeros((samples, 2), np.float32)
    strings = render(perform(lesson), lesson.neck, times.tempo_map, rate=RATE)[:samples]
    track[: len(strings)] += strings
    level = float(np.abs(strings).max(initial=0.0)) or 1.0
    beats = len(lesson.metre.beats)
    clicks = [(second, index % beats == 0) for index, second in enumerate(times.counts_s)]
    add_clicks(track, clicks, RATE, _CLICK_LEVEL * level)
    track = set_loudness(track, RATE, lufs=job.settings["loudness_lufs"])
    for kind, write in (("flac", write_flac), ("mp3", write_mp3)):
        write(job.place(f"{name}.{kind}"), track, RATE)
    seconds = samples / RATE
    return (
        Made(f"{name}.flac", "audio", seconds, supporter=False),
        Made(f"{name}.mp3", "audio", seconds),
    )
