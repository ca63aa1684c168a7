"""The take slowed at the same pitch, as sound and with an overlay that follows it."""

from __future__ import annotations

from gripwright.dsp.media import audio_facts, stream_audio
from gripwright.dsp.sound_file import lossy_rate, open_flac, open_mp3
from gripwright.dsp.stretch import stretch_blocks
from gripwright.pack.stage import TAKE, Job, Made
from gripwright.pack.stages.take_overlay import follow


def make(job: Job) -> tuple[Made, ...]:
    """Write ``take-slow-<percent>.mp3`` and ``.mp4``; raises MediaError or OSError.

    The take is never held as a whole.
    """
    percent, take = job.settings["percent"], job.given[TAKE]
    name, factor = f"take-slow-{percent}", 100 / percent
    facts = audio_facts(take)
    rate = lossy_rate(facts.rate)
    whole, samples = job.place("slow.flac"), 0
    with (
        open_flac(whole, rate, facts.channels) as keep,
        open_mp3(job.place(f"{name}.mp3"), rate, facts.channels) as write,
    ):
        for block in stretch_blocks(stream_audio(take, rate=rate), rate, factor):
            keep(block)
            write(block)
            samples += len(block)
    video = follow(job, f"{name}.mp4", whole, factor)
    whole.unlink()
    return (Made(f"{name}.mp3", "audio", samples / rate), video)
