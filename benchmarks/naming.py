"""How fast grips are named: a batch beside music21, and one question from a cold start.

    python benchmarks/naming.py

10,000 random grips through the answers of ``gripwright name --jsonl`` (warmed on 10,000 others)
against music21's `chordSymbolFigureFromChord` on some of them (warmed on others), slice by slice in
turn, so that a busy machine slows both; rates by wall clock and by the processor's own time. Then
how long one full answer takes in a new process, grip after grip; then the shortest of interleaved
runs of ``gripwright name x35553`` and of importing click and msgspec.
"""

from __future__ import annotations

import random
import subprocess
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import msgspec

from gripwright.cli.name import answer
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import chord, harmony, pitch

COUNT, PEER_COUNT, SLICES, RUNS = 10_000, 200, 10, 20


def random_grips(count: int, seed: int = 4) -> list[str]:
    """Return grips of two to six sounding strings within a hand's reach."""
    draw = random.Random(seed)
    found: list[str] = []
    while len(found) < count:
        low = draw.randint(1, 10)
        signs = [draw.choice(["x", "x", "0", *(str(low + n) for n in range(4))]) for _ in range(6)]
        if signs.count("x") <= 4:
            found.append("-".join(signs))
    return found


def per_second(*works: tuple[Callable[[str], object], int]) -> list[tuple[float, float]]:
    """Return how many grips a second each work takes, by wall clock and by processor time.

    Each comes with the number of its grips, and is warmed on as many others.
    """
    for work, count in works:
        for grip in random_grips(count, seed=5):
            work(grip)
    grips, spent = random_grips(COUNT), [[0.0, 0.0] for _ in works]
    for place in range(SLICES):
        for (work, count), sums in zip(works, spent, strict=True):
            size = count // SLICES
            wall, own = time.perf_counter(), time.process_time()
            for grip in grips[place * size : (place + 1) * size]:
                work(grip)
            sums[0] += time.perf_counter() - wall
            sums[1] += time.process_time() - own
    return [
        (count / wall, count / own) for (_, count), (wall, own) in zip(works, spent, strict=True)
    ]


def one_by_one(grips: list[str]) -> list[float]:
    """Return the milliseconds of processor time that each full answer takes, shortest first."""
    took = []
    for grip in grips:
        start = time.process_time()
        ours(grip)
        took.append(1000 * (time.process_time() - start))
    return sorted(took)


def ours(grip: str) -> bytes:
    """Return the full answer as JSON."""
    return msgspec.json.encode(answer({"grip": grip}))


def peer(grip: str) -> str:
    """Return the peer's name alone."""
    midi = sorted(sound.midi for sound in soundings(parse_grip(grip), STANDARD_NECK))
    return str(harmony.chordSymbolFigureFromChord(chord.Chord([pitch.Pitch(m) for m in midi])))


def shortest(*commands: list[str]) -> list[float]:
    """Return the shortest time of each command, run in turn."""
    best = [float("inf")] * len(commands)
    for _ in range(RUNS):
        for place, command in enumerate(commands):
            start = time.perf_counter()
            subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
            best[place] = min(best[place], time.perf_counter() - start)
    return best


def main() -> None:
    """Print the tables."""
    cold = one_by_one(random_grips(500, seed=6))
    fast, slow = per_second((ours, COUNT), (peer, PEER_COUNT))
    warm = one_by_one(random_grips(500, seed=7))
    for name, own, other in zip(("wall clock", "processor"), fast, slow, strict=True):
        ours_told, times = f"ours {own:,.0f}, music21 {other:,.0f}", own / other
        print(f"full answers a second, {name}: {ours_told}, {times:.0f} times")
    for name, took in (("new process", cold), ("warm", warm)):
        middle, high = took[len(took) // 2], took[int(0.99 * len(took))]
        print(f"one full answer, {name}: median {middle:.2f} ms, 99 % within {high:.2f} ms")
    program = str(Path(sys.executable).with_name("gripwright"))
    bare = [sys.executable, "-c", "import click, msgspec"]
    start, base = shortest([program, "name", "x35553"], bare)
    print(f"cold start: {1000 * start:.0f} ms, bare {1000 * base:.0f} ms, {start / base:.2f} times")


if __name__ == "__main__":
    main()
