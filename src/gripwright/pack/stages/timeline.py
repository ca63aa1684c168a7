"""The timeline: when each event of the lesson comes in each medium of the pack.

Seconds count from the start of the medium, the count-in included. For sound they are exact to
the sample; for video an event starts with the frame that first shows it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

import msgspec

from gripwright.lesson.model import Lesson
from gripwright.pack.stage import SLOW_PERCENTS, Job, Made, TakeFacts
from gripwright.pack.stages.take_film import film_frames_of, film_plans
from gripwright.screen.clock import Clock, clock
from gripwright.screen.cues import Cue, cues
from gripwright.screen.film_layout import FilmPlan
from gripwright.screen.layout import TALL, WIDE, Layout
from gripwright.screen.shots import FPS, frame_at, frame_spans
from gripwright.screen.take import take_cues

CONTRACT = 1


def make(job: Job) -> tuple[Made, ...]:
    """Write ``timeline.json``; raises OSError."""
    lesson, speed, take = job.lesson, job.settings["slow"], job.settings["take"]
    filmed = take is not None and take.film is not None and job.settings["film"]
    full, slow = clock(lesson), clock(lesson, speed)
    media = [
        *(_sound(lesson, f"play-full.{kind}", full, Fraction(1)) for kind in ("flac", "mp3")),
        *(_sound(lesson, f"play-slow.{kind}", slow, speed) for kind in ("flac", "mp3")),
        _video("overlay.mp4", cues(lesson, full.tempo_map), full.total_s, 1.0, WIDE)
        | {"count_in_s": full.tempo_map.seconds(Fraction(0))},
        *(_of_take(lesson, take) if take else ()),
        *(_of_film(job, take) if filmed else ()),
    ]
    answer = {"contract": CONTRACT, "title": lesson.title, "media": media}
    data = msgspec.json.format(msgspec.json.encode(answer), indent=2)
    job.place("timeline.json").write_bytes(data + b"\n")
    return (Made("timeline.json", "timeline", supporter=False),)


def _sound(lesson: Lesson, path: str, times: Clock, speed: Fraction) -> dict[str, Any]:
    about = {"path": path, "kind": "audio", "speed": float(speed), "seconds": times.total_s}
    played = cues(lesson, times.tempo_map)
    return {
        **about, "count_in_s": times.tempo_map.seconds(Fraction(0)),
        "events": [_event(cue, cue.start_s, cue.end_s) for cue in played],
    }  # fmt: skip


def _of_take(lesson: Lesson, take: TakeFacts) -> Iterator[dict[str, Any]]:
    """Yield what follows a take: its overlays and its slow versions."""
    played = take_cues(lesson, take.events)
    yield _video("take-overlay.mp4", played, take.seconds, 1.0, WIDE)
    yield _video("take-overlay-tall.mp4", played, take.seconds, 1.0, TALL)
    for percent in SLOW_PERCENTS:
        factor = 100 / percent
        slowed = take_cues(lesson, [event.slowed(factor) for event in take.events])
        seconds, speed = take.seconds * factor, percent / 100
        yield {
            "path": f"take-slow-{percent}.mp3", "kind": "audio", "speed": speed,
            "seconds": seconds, "count_in_s": slowed[0].start_s if slowed else 0.0,
            "events": [_event(cue, cue.start_s, cue.end_s) for cue in slowed],
        }  # fmt: skip
        yield _video(f"take-slow-{percent}.mp4", slowed, seconds, speed, WIDE)


def _of_film(job: Job, take: TakeFacts) -> Iterator[dict[str, Any]]:
    """Yield the take's own picture with the grips."""
    played = take_cues(job.lesson, take.events)
    seconds = film_frames_of(take) / FPS
    plans = film_plans(take, job.settings["corner"], job.settings["plate"])
    for path, plan in plans.items():
        yield _video(path, played, seconds, 1.0, plan)


def _video(
    path: str, played: Sequence[Cue], seconds: float, speed: float, layout: Layout | FilmPlan
) -> dict[str, Any]:
    total = frame_at(seconds)
    box = layout.grip
    crop = {"x": box.x, "y": box.y, "width": box.width, "height": box.height}
    events = [
        _event(cue, first / FPS, after / FPS)
        | {"start_frame": first, "end_frame": after, "crop": crop}
        for cue, (first, after) in zip(played, frame_spans(played, total), strict=True)
        if after > first
    ]
    return {
        "path": path, "kind": "video", "speed": speed, "seconds": total / FPS,
        "count_in_s": events[0]["start_s"] if events else 0.0,
        "width": layout.width, "height": layout.height, "fps": FPS, "frames": total,
        "events": events,
    }  # fmt: skip


def _event(cue: Cue, start_s: float, end_s: float) -> dict[str, Any]:
    chord = cue.chord
    return {
        "index": cue.index, "part": cue.part, "visit": cue.visit, "pass": cue.pass_,
        "bar": cue.bar, "beat": float(cue.beat), "chord": chord.name if chord else None,
        "symbol": chord.symbol.text if chord and chord.symbol else None, "grip": cue.grip,
        "start_s": start_s, "end_s": end_s,
    }  # fmt: skip
