"""The performance as a Standard MIDI File."""

from __future__ import annotations

from fractions import Fraction

from gripwright.formats.midi import write_midi
from gripwright.pack.stage import Job, Made
from gripwright.screen.clock import clock


def make(job: Job) -> tuple[Made, ...]:
    """Write ``score.mid``; raises OSError."""
    job.place("score.mid").write_bytes(write_midi(job.lesson))
    times = clock(job.lesson)
    return (Made("score.mid", "midi", times.end_s - times.tempo_map.seconds(Fraction(0))),)
