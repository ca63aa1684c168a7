"""Arrange the chords of real songs: does every chord get a grip, how hard is it, how long.

Run ``python evaluation/hand_songs.py FILE [COUNT]`` with a JSON-lines file whose rows have
``chords`` as Harte labels (and ``bars``, the length of each). For the levels 1, 3 and 5 it
prints the mean effort, the mean of the hardest moments, chords that lose something, chords
without a grip, and the time; beside them the peer that takes each chord's easiest grip by
itself, changes left to chance.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

from gripwright.neck.effort import Player, share
from gripwright.theory.symbol import ChordSymbol, parse_symbol
from gripwright.voicing.arrange import Asked, Wanted, arrange, candidates
from gripwright.voicing.change import haste, motion, table_of
from gripwright.voicing.limits import Limits

SHORTHANDS = {
    "maj": "", "min": "m", "7": "7", "maj7": "maj7", "min7": "m7", "dim": "dim", "aug": "aug",
    "dim7": "dim7", "hdim7": "m7(b5)", "sus4": "sus4", "sus2": "sus2", "maj6": "6", "min6": "m6",
    "9": "9", "min9": "m9", "maj9": "maj9", "minmaj7": "m(maj7)", "11": "11", "13": "13",
    "5": "5", "1": "5", "sus4(b7)": "7sus4",
}  # fmt: skip
BAR_S = 2.4


def symbol_of(label: str) -> ChordSymbol | None:
    """Return the symbol of a plain Harte label, its bass left aside; None for what is none."""
    root, _, rest = label.partition(":")
    quality = SHORTHANDS.get((rest or "maj").split("/")[0])
    return None if quality is None or root in "NX" else parse_symbol(root + quality)


def songs(path: Path, count: int) -> list[list[Asked]]:
    """Return the first songs of a file, each as what is asked of an arrangement."""
    found = []
    for line in path.read_text(encoding="utf-8").splitlines()[:count]:
        row = json.loads(line)
        pairs = zip(map(symbol_of, row["chords"]), row["bars"], strict=True)
        found.append([Asked(s, length_s=bars * BAR_S) for s, bars in pairs if s is not None])
    return [song for song in found if song]


def apart(song: list[Asked], level: int) -> tuple[float, float]:
    """Return mean effort and hardest moment with each chord's easiest grip by itself."""
    player, limits = Player(), Limits(level=level)
    grips = [
        min(candidates(one.symbol, player, limits), key=lambda found: found.cost)
        for one in song
        if one.symbol
    ]
    efforts = [share(grips[0].effort.raw)]
    for index in range(1, len(grips)):
        moved = motion(table_of(grips[index - 1 : index]), table_of(grips[index : index + 1]))
        hurried = haste(song[index - 1].length_s) * float(moved[0, 0])
        efforts.append(share(grips[index].effort.raw + hurried))
    return sum(efforts) / len(efforts), max(efforts)


def main() -> None:
    """Print one line a level."""
    every = songs(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 40)
    chords = sum(map(len, every))
    print(f"{len(every)} songs, {chords} chords")
    print("level  effort  hardest  apart: effort  hardest  lossy  seconds")
    for level in (1, 3, 5):
        wanted = Wanted(Limits(level=level))
        start = time.perf_counter()
        found = [arrange(song, Player(), wanted)[0] for song in every]
        seconds = time.perf_counter() - start
        mean = sum(one.effort for one in found) / len(found)
        worst = sum(max(one.efforts) for one in found) / len(found)
        peers = [apart(song, level) for song in every]
        mean_apart, worst_apart = (sum(p[i] for p in peers) / len(peers) for i in (0, 1))
        lossy = sum(bool(loss) for one in found for loss in one.losses) / chords
        print(
            f"{level:5}  {mean:6.3f}  {worst:7.3f}  {mean_apart:13.3f}  {worst_apart:7.3f}"
            f"  {lossy:5.1%}  {seconds:7.1f}"
        )


if __name__ == "__main__":
    main()
