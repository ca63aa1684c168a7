"""Recorded single notes: read a pack, measure where each note starts and how it is tuned.

Sources (fetched at run time, never kept): npm ``tonejs-instrument-guitar-{acoustic,electric,
nylon}-mp3`` (samples CC BY 3.0) and Debian ``fluid-soundfont-gm`` (MIT) through fluidsynth.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import mido
import numpy as np
import soundfile
import soxr

Samples = np.ndarray
LEAD_S = 0.005
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, eq=False)
class Recorded:
    """One note: ``midi`` as measured (a fraction where out of tune), starting ``LEAD_S`` in."""

    midi: float
    samples: Samples


@dataclass(frozen=True, eq=False)
class Pack:
    """The notes of one instrument at one rate."""

    name: str
    rate: int
    notes: tuple[Recorded, ...]

    def note(self, midi: float, seconds: float, variant: int = 0) -> Samples:
        """Return a note of that pitch, resampled from a near one (``variant`` 0 the nearest)."""
        near = sorted(self.notes, key=lambda note: abs(note.midi - midi))
        chosen = near[min(variant, len(near) - 1)]
        ratio = 2.0 ** ((midi - chosen.midi) / 12)
        count = min(int(seconds * self.rate), int(len(chosen.samples) / ratio) - 1)
        return np.interp(np.arange(count) * ratio, np.arange(len(chosen.samples)), chosen.samples)


def onset_sample(x: Samples, rate: int) -> int:
    """Return where a lone note starts: 1 ms energy first above a tenth of its attack's peak."""
    width = max(1, rate // 1000)
    level = np.sqrt(np.convolve(x.astype(float) ** 2, np.ones(width) / width, "same"))
    peak = level[: rate // 2].max()
    return int(np.argmax(level > 0.1 * peak))


def measured_midi(x: Samples, rate: int, near: float) -> float:
    """Return the pitch of a note by its first partials, searched 1.5 semitones about ``near``."""
    size = 1 << 17
    part = x[int(0.05 * rate) : int(1.05 * rate)]
    spectrum = np.abs(np.fft.rfft(part * np.hanning(len(part)), size))
    grid = near + np.arange(-150, 151) / 100
    score = np.zeros(len(grid))
    for partial in (1, 2, 3):
        hz = 440 * 2 ** ((grid - 69) / 12) * partial
        score += np.log(1e-9 + np.interp(hz, np.arange(len(spectrum)) * rate / size, spectrum))
    return float(grid[int(np.argmax(score))])


def _trimmed(x: Samples, rate: int, label: int) -> Recorded:
    start = max(0, onset_sample(x, rate) - int(LEAD_S * rate))
    x = x[start : start + 5 * rate]
    loud = np.sqrt(np.mean(x[: rate // 2].astype(float) ** 2))
    return Recorded(measured_midi(x, rate, label), (0.1 * x / loud).astype(np.float32))


def _label(name: str) -> int:
    match = re.fullmatch(r"([A-G])(s?)(\d)", name)
    assert match, name
    return 12 * (int(match[3]) + 1) + _STEPS[match[1]] + bool(match[2])


@lru_cache(maxsize=8)
def read_pack(folder: Path, rate: int = 44100) -> Pack:
    """Read a folder of ``As2.mp3`` notes; a wrong label comes out right by measurement."""
    notes = []
    for path in sorted(folder.glob("*.mp3")):
        x, have = soundfile.read(path, always_2d=True)
        mono = soxr.resample(x.mean(axis=1), have, rate)
        notes.append(_trimmed(mono, rate, _label(path.stem)))
    assert notes, folder
    return Pack(folder.parent.name, rate, tuple(notes))


@lru_cache(maxsize=8)
def font_pack(font: Path, program: int, rate: int = 44100, velocity: int = 90) -> Pack:
    """Render every second semitone of a sound font's program by fluidsynth, dry."""
    notes = []
    pitches = range(36, 89, 2)
    with tempfile.TemporaryDirectory() as folder:
        song = mido.MidiFile(ticks_per_beat=480)
        track = mido.MidiTrack()
        song.tracks.append(track)
        track.append(mido.Message("program_change", program=program, time=0))
        for pitch in pitches:  # 480 ticks are half a second
            track.append(mido.Message("note_on", note=pitch, velocity=velocity, time=480))
            track.append(mido.Message("note_off", note=pitch, time=480 * 8))
        song.save(f"{folder}/a.mid")
        command = ["fluidsynth", "-niq", "-R", "0", "-C", "0", "-g", "0.8", "-r", str(rate)]
        subprocess.run([*command, "-F", f"{folder}/a.wav", str(font), f"{folder}/a.mid"],
                       check=True, capture_output=True)  # fmt: skip
        x, _ = soundfile.read(f"{folder}/a.wav", always_2d=True)
    for index, pitch in enumerate(pitches):
        start = int((0.45 + 4.5 * index) * rate)
        notes.append(_trimmed(x[start : start + 4 * rate].mean(axis=1), rate, pitch))
    return Pack(f"font{program}", rate, tuple(notes))
