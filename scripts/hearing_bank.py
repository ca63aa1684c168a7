"""Collect recorded single notes into one file that `train_hearing.py` learns from.

    python scripts/hearing_bank.py PACKS FONT.sf2 bank.npz

PACKS holds the unpacked npm packages ``tonejs-instrument-guitar-{acoustic,electric,nylon}-mp3``
(CC BY 3.0), FONT is a General MIDI sound font (Debian ``fluid-soundfont-gm``, MIT). The
acoustic pack is marked as held out: training never sees it.
"""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import numpy as np
import soxr

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "evaluation"))
from takes.make import packs_in
from takes.packs import Pack, Recorded, font_pack

from gripwright.dsp.strings import render
from gripwright.lesson.sound import Sound
from gripwright.neck.tuning import STANDARD_NECK
from gripwright.timing import TempoMap

RATE, SECONDS = 22050, 2.6
SOFT, LOUD = 50, 90
PROGRAMS = [(p, LOUD) for p in (24, 25, 26, 27, 29, 30)] + [(p, SOFT) for p in (24, 25, 27)]


def rows(pack: Pack) -> np.ndarray:
    """Return the notes of a pack as int16 rows of equal length."""
    out = np.zeros((len(pack.notes), int(RATE * SECONDS)), np.int16)
    for row, note in zip(out, pack.notes, strict=True):
        x = note.samples[: len(row)]
        row[: len(x)] = np.round(x / np.abs(x).max() * 30000)
    return out


def string_pack(velocity: float) -> Pack:
    """Return our own synthetic strings, every second semitone on the string that is nearest."""
    notes = []
    for pitch in range(40, 84, 2):
        string = max(i for i, low in enumerate(STANDARD_NECK.tuning.midi) if low <= pitch)
        fret = pitch - STANDARD_NECK.tuning.midi[string]
        struck = Sound(Fraction(0), Fraction(3), 6 - string, fret, pitch, velocity)
        clock = TempoMap(((Fraction(0), 0.005), (Fraction(1), 1.005)))
        both = render([struck], STANDARD_NECK, clock)
        mono = soxr.resample(both.mean(axis=1), 44_100, RATE).astype(np.float32)
        notes.append(Recorded(float(pitch), mono))
    return Pack(f"strings{velocity}", RATE, tuple(notes))


def main() -> None:
    """Write the bank."""
    folder, font, target = (Path(text) for text in sys.argv[1:4])
    packs = list(packs_in(folder, RATE).items())
    packs += [(f"strings{v}", string_pack(v / 100)) for v in (40, 90)]
    packs += [(f"font{p}v{v}", font_pack(font, p, RATE, v)) for p, v in PROGRAMS]
    np.savez_compressed(
        target,
        samples=np.concatenate([rows(pack) for _, pack in packs]),
        midi=np.array([note.midi for _, pack in packs for note in pack.notes]),
        instrument=np.array([i for i, (_, pack) in enumerate(packs) for _ in pack.notes]),
        names=np.array([name for name, _ in packs]),
        held_out=np.array([name == "acoustic" for name, _ in packs]),
    )


if __name__ == "__main__":
    main()
