"""The timeline: when each event of the lesson comes in each medium of the pack.

Seconds count from the start of the medium, the count-in included. For sound they are exact to
the sample; for video an event starts with the frame that first shows it.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import msgspec

from gripwright.lesson.model import Lesson
from gripwright.pack.stage import Job, Made
from gripwright.screen.clock import Clock, clock
from gripwright.screen.cues import Cue, cues
from gripwright.screen.layout import WIDE
from gripwright.screen.shots import FPS, frame_at, frame_spans

CONTRACT = 1


def make(job: Job) -> tuple[Made, ...]:
    """Write ``timeline.json``; raises OSError."""
    lesson = job.lesson
    full, slow = clock(lesson), clock(lesson, job.settings["slow"])
    answer = {
        "contract": CONTRACT,
        "title": lesson.title,
        "media": [
            *(_sound(lesson, f"play-full.{kind}", full, Fraction(1)) for kind in ("flac", "mp3")),
            *(_sound(lesson, f"play-slow.{kind}", slow, job.settings["slow"])
              for kind in ("flac", "mp3")),
            _video(lesson, "overlay.mp4", full),
        ],
    }  # fmt: skip
    data = msgspec.json.format(msgspec.json.encode(answer), indent=2)
    job.place("timeline.json").write_bytes(data + b"\n")
    return (Made("timeline.json", "timeline", supporter=False),)


def _sound(lesson: Lesson, path: str, times: Clock, speed: Fraction) -> dict[str, Any]:
    played = cues(lesson, times.tempo_map)
    events = [_event(cue, cue.start_s, cue.end_s) for cue in played]
    about = {"path": path, "kind": "audio", "speed": float(speed)}
    return {**about, **_lengths(times), "events": events}


def _video(lesson: Lesson, path: str, times: Clock) -> dict[str, Any]:
    total = frame_at(times.total_s)
    played = cues(lesson, times.tempo_map)
    box = WIDE.grip
    crop = {"x": box.x, "y": box.y, "width": box.width, "height": box.height}
    events = [
        _event(cue, first / FPS, after / FPS)
        | {"start_frame": first, "end_frame": after, "crop": crop}
        for cue, (first, after) in zip(played, frame_spans(played, total), strict=True)
        if after > first
    ]
    return {
        "path": path, "kind": "video", "speed": 1.0, **_lengths(times), "seconds": total / FPS,
        "width": WIDE.width, "height": WIDE.height, "fps": FPS, "frames": total, "events": events,
    }  # fmt: skip


def _lengths(times: Clock) -> dict[str, float]:
    return {"seconds": times.total_s, "count_in_s": times.tempo_map.seconds(Fraction(0))}


def _event(cue: Cue, start_s: float, end_s: float) -> dict[str, Any]:
    chord = cue.chord
    return {
        "index": cue.index, "part": cue.part, "visit": cue.visit, "pass": cue.pass_,
        "bar": cue.bar, "beat": float(cue.beat), "chord": chord.name if chord else None,
        "symbol": chord.symbol.text if chord and chord.symbol else None, "grip": cue.grip,
        "start_s": start_s, "end_s": end_s,
    }  # fmt: skip
