"""Compare the hand model's effort with teachers' usual order of common grips.

Run ``python evaluation/hand_order.py``. It prints Spearman's rank correlation (ties share
their mean rank) of the efforts with the bands of ``hand_bands.txt``, the same for two plain
peers (number of pressed strings, span in frets), and the grips that stray furthest.
"""

from __future__ import annotations

from pathlib import Path

from scipy.stats import rankdata, spearmanr

from gripwright.neck.grip import parse_grip
from gripwright.neck.hand import finger

BANDS = Path(__file__).with_name("hand_bands.txt")


def banded() -> list[tuple[int, str, str]]:
    """Return band, grip and common name of each line."""
    lines = BANDS.read_text(encoding="utf-8").splitlines()
    rows = [line.split(maxsplit=2) for line in lines if line and not line.startswith("#")]
    return [(int(band), grip, name) for band, grip, name in rows]


def main() -> None:
    """Print the correlations and the furthest strays."""
    rows = banded()
    bands = [band for band, _, _ in rows]
    found = [finger(parse_grip(grip)) for _, grip, _ in rows]
    peers = {
        "effort": [one.effort.raw for one in found],
        "pressed strings": [float(len(one.grip.pressed)) for one in found],
        "span in frets": [max(one.grip.pressed) - min(one.grip.pressed) for one in found],
    }
    for name, values in peers.items():
        print(f"{name:16} {spearmanr(bands, values).statistic:.3f} over {len(rows)} grips")
    ranks, want = rankdata(peers["effort"]), rankdata(bands)
    strays = sorted(zip(ranks - want, rows, found, strict=True), key=lambda row: -abs(row[0]))
    for off, (band, grip, name), one in strays[:16]:
        e = one.effort
        fingers = "".join(f or "-" for f in one.fingers)
        print(
            f"{off:+6.1f}  band {band}  {grip} {fingers} {e.total:.2f} = {e.press:.2f}"
            f" {e.stretch:.2f} {e.coordination:.2f} {e.muting:.2f}  {name}"
        )


if __name__ == "__main__":
    main()
