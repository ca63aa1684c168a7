"""The bank of the practice page: every pitch of a song once, one after the other, as FLAC.

FLAC is exact to the sample everywhere, so the page finds each note where it was put. One
channel at half the usual rate keeps the file small; how long notes last follows from how many
there are, within bounds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from gripwright.dsp.sound_file import write_flac
from gripwright.dsp.strings import render
from gripwright.lesson.sound import Sound
from gripwright.neck.tuning import Neck
from gripwright.timing import TempoMap

RATE = 22_050
_ALL_S = 90.0
_SHORTEST_S, _LONGEST_S = 1.2, 2.6
_GAP_S = 0.05
_FADE_S = 0.25
_LOUDEST = 0.7


@dataclass(frozen=True, slots=True)
class Bank:
    """FLAC data, and for each MIDI pitch where it starts and how long it lasts, in seconds."""

    flac: bytes
    places: dict[int, tuple[float, float]]


def make_bank(sounds: Sequence[Sound], neck: Neck, scratch: Path) -> Bank:
    """Return the bank of the pitches that sound; ``scratch`` is a file that may be used.

    A pitch is taken from the string it is first played on.
    """
    firsts: dict[int, Sound] = {}
    for sound in sounds:
        firsts.setdefault(sound.midi, sound)
    if not firsts:
        return Bank(b"", {})
    longest = min(_LONGEST_S, max(_SHORTEST_S, _ALL_S / len(firsts)))
    slot = longest + _GAP_S
    steps = [
        Sound(Fraction(index) * Fraction(slot), Fraction(longest), one.string, one.fret, midi, 0.8)
        for index, (midi, one) in enumerate(sorted(firsts.items()))
    ]
    seconds = TempoMap(((Fraction(0), 0.0), (Fraction(1), 1.0)))
    mixed = render(steps, neck, seconds, rate=RATE).mean(axis=1)
    track = np.zeros(round(len(steps) * slot * RATE), np.float32)
    track[: min(len(track), len(mixed))] = mixed[: len(track)]
    _fade(track, len(steps), slot, longest)
    track *= _LOUDEST / max(float(np.abs(track).max()), 1e-9)
    write_flac(scratch, track, RATE)
    flac = scratch.read_bytes()
    scratch.unlink()
    return Bank(flac, {one.midi: (float(one.start), longest) for one in steps})


def _fade(track: np.ndarray[Any, Any], count: int, slot: float, longest: float) -> None:
    """Fade the end of each note out, and silence the gap after it."""
    ramp = np.linspace(1.0, 0.0, round(_FADE_S * RATE), dtype=np.float32)
    for index in range(count):
        end = round((index * slot + longest) * RATE)
        track[end - len(ramp) : end] *= ramp
        track[end : round((index + 1) * slot * RATE)] = 0.0
