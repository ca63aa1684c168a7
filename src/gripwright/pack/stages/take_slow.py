"""The take slowed at the same pitch, as sound and with an overlay that follows it."""

from __future__ import annotations

from gripwright.dsp.media import read_audio
from gripwright.dsp.sound_file import write_flac, write_mp3
from gripwright.dsp.stretch import stretch
from gripwright.pack.stage import TAKE, Job, Made
from gripwright.pack.stages.take_overlay import follow


def make(job: Job) -> tuple[Made, ...]:
    """Write ``take-slow-<percent>.mp3`` and ``.mp4``; raises MediaError or OSError."""
    percent = job.settings["percent"]
    name, factor = f"take-slow-{percent}", 100 / percent
    samples, rate = read_audio(job.given[TAKE])
    slow = stretch(samples, rate, factor)
    write_mp3(job.place(f"{name}.mp3"), slow, rate)
    whole = job.place("slow.flac")
    write_flac(whole, slow, rate)
    video = follow(job, f"{name}.mp4", whole, factor)
    whole.unlink()
    return (Made(f"{name}.mp3", "audio", len(slow) / rate), video)
