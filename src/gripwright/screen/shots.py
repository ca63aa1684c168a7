"""Shots: what each frame of the video shows, in runs of equal frames.

Frame n is on screen from n / fps. It shows what holds at that moment, so a change is never
early and at most one frame late.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from gripwright.lesson.model import Chord
from gripwright.screen.clock import Beat, Pulse
from gripwright.screen.cues import Cue

FPS = 30


@dataclass(frozen=True, slots=True)
class Scene:
    """All that a frame shows: the chord held, the one that comes, and the beat."""

    chord: Chord | None
    coming: Chord | None
    beat: Beat | None


@dataclass(frozen=True, slots=True)
class Shot:
    """A run of equal frames: the first, how many, and what they show."""

    first: int
    frames: int
    scene: Scene


def frame_at(second: float, fps: int = FPS) -> int:
    """Return the first frame that starts at or after a second.

    >>> frame_at(1.0), frame_at(1.001)
    (30, 31)
    """
    return math.ceil(Fraction(second).limit_denominator(1_000_000) * fps)


def frame_spans(cues: Sequence[Cue], total: int, fps: int = FPS) -> tuple[tuple[int, int], ...]:
    """Return (first frame, frame after the last) of each cue; an overtaken cue gets none."""
    firsts = [min(frame_at(cue.start_s, fps), total) for cue in cues]
    return tuple(
        (first, min(frame_at(cue.end_s, fps), total, *firsts[place + 1 : place + 2]))
        for place, (cue, first) in enumerate(zip(cues, firsts, strict=True))
    )


def shots(
    cues: Sequence[Cue], pulses: Sequence[Pulse], end_s: float, total: int, fps: int = FPS
) -> tuple[Shot, ...]:
    """Return the shots of a video of ``total`` frames, without gaps.

    After ``end_s``, where the song ends, no beat is shown.
    """
    spans = frame_spans(cues, total, fps)
    beats = [frame_at(pulse.start_s, fps) for pulse in pulses]
    silent = min(frame_at(end_s, fps), total)
    edges = {0, total, silent, *beats, *(edge for span in spans for edge in span)}
    order = sorted(edge for edge in edges if edge <= total)
    firsts = [first for first, _ in spans]
    found: list[Shot] = []
    for first, after in pairwise(order):
        place = bisect_right(firsts, first) - 1
        held = cues[place].chord if place >= 0 and first < spans[place][1] else None
        at = bisect_right(beats, first) - 1
        beat = pulses[at].beat if at >= 0 and first < silent else None
        scene = Scene(held, _coming(cues, place + 1, held), beat)
        if found and found[-1].scene == scene:
            found[-1] = Shot(found[-1].first, after - found[-1].first, scene)
        else:
            found.append(Shot(first, after - first, scene))
    return tuple(found)


def _coming(cues: Sequence[Cue], start: int, held: Chord | None) -> Chord | None:
    """Return the next chord, from a cue on, that asks for another grip than the one held."""
    grip = held.grip if held else None
    for place in range(start, len(cues)):
        chord = cues[place].chord
        if chord is not None and chord.grip is not None and chord.grip != grip:
            return chord
    return None
