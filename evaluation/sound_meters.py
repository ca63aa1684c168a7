"""How true the meters and the strings are, with ffmpeg's ebur128 filter beside them.

Run ``python evaluation/sound_meters.py`` (ffmpeg on the path). First table: loudness and true
peak of made signals, ours and ffmpeg's, before and after setting to -16 LUFS under -1 dBTP.
Second: how far rendered strings are from equal temperament, in cents, over all frets.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
from pathlib import Path

import numpy as np

from gripwright.dsp.loudness import integrated_lufs, set_loudness, true_peak_dbtp
from gripwright.dsp.pluck import WOUND_BELOW, tone
from gripwright.dsp.sound_file import write_wav

RATE = 48_000


def signals() -> dict[str, np.ndarray]:
    """Return named stereo signals of ten seconds."""
    chance = np.random.default_rng(3)
    time_s = np.arange(10 * RATE) / RATE
    noise = chance.standard_normal((len(time_s), 2))
    tones = np.concatenate([tone(m, m < 57, "open", RATE).bright[:RATE] for m in range(40, 76, 4)])
    sine = 0.2 * np.sin(2 * np.pi * 1000 * time_s)
    loud_then_soft = np.where(time_s < 5, 0.3, 0.003)[:, None]
    return {
        "sine of 1 kHz": np.stack([sine, sine], 1),
        "white noise": 0.1 * noise,
        "noise, loud then soft": loud_then_soft * noise,
        "plucked strings": np.stack([tones, 0.7 * tones], 1),
        "sparse clicks": (chance.random((len(time_s), 2)) < 2e-4) * 0.9,
    }


def by_ffmpeg(x: np.ndarray, folder: Path) -> tuple[float, float]:
    """Return loudness and true peak as ffmpeg tells them, to a tenth."""
    write_wav(folder / "x.wav", x, RATE, bits=24)
    command = ["ffmpeg", "-nostats", "-hide_banner", "-i", str(folder / "x.wav"), "-af",
               "ebur128=peak=true", "-f", "null", "-"]  # fmt: skip
    told = subprocess.run(command, check=True, capture_output=True, text=True).stderr
    summary = told.rsplit("Summary:", 1)[1]
    loud = re.search(r"I:\s+(-?[\d.]+|-?inf) LUFS", summary)
    peak = re.search(r"Peak:\s+(-?[\d.]+|-?inf) dBFS", summary)
    assert loud and peak
    return float(loud[1]), float(peak[1])


def cents_off(midi: int) -> float:
    """Return how far a tone's fundamental lies from equal temperament, by phase over a second."""
    x = tone(midi, midi < WOUND_BELOW, "open", RATE).bright
    hz = 440 * 2 ** ((midi - 69) / 12)
    shifted = x * np.exp(-2j * np.pi * hz * np.arange(len(x)) / RATE)
    window = np.hanning(int(8 * RATE / hz))
    phase = np.unwrap(np.angle(np.convolve(shifted[: 2 * RATE], window, "same")))
    slope = np.polyfit(np.arange(RATE) / RATE, phase[RATE // 2 : RATE // 2 + RATE], 1)[0]
    return float(1200 * np.log2(1 + slope / (2 * np.pi * hz)))


def main() -> None:
    """Print both tables."""
    print(f"{'signal':<24} {'LUFS':>7} {'peer':>7} {'dBTP':>7} {'peer':>7}   after: the same four")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for label, x in signals().items():
            x = x * min(1.0, 0.9 / np.abs(x).max())
            cells = []
            for sound in (x, set_loudness(x, RATE)):
                ours = integrated_lufs(sound, RATE), true_peak_dbtp(sound, RATE)
                peer = by_ffmpeg(sound, folder)
                cells += [ours[0], peer[0], ours[1], peer[1]]
            print(f"{label:<24} " + " ".join(f"{cell:7.2f}" for cell in cells))
    errors = [abs(cents_off(midi)) for midi in range(28, 89)]
    print(f"strings, MIDI 28 to 88: worst {max(errors):.4f} cents, mean {np.mean(errors):.4f}")


if __name__ == "__main__":
    main()
