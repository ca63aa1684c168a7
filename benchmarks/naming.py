"""How fast grips are named: a batch beside music21, and one question from a cold start.

    python benchmarks/naming.py

10,000 random grips through the answers of ``gripwright name --jsonl`` (warmed on 10,000 others)
against music21's `chordSymbolFigureFromChord` on the first hundred (warmed on others); then the
shortest of interleaved runs of ``gripwright name x35553`` and of importing click and msgspec.
"""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import time
import warnings
from collections.abc import Callable

import msgspec

from gripwright.cli.name import answer
from gripwright.neck.grip import parse_grip, soundings
from gripwright.neck.tuning import STANDARD_NECK

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import chord, harmony, pitch

COUNT, PEER_COUNT, RUNS = 10_000, 100, 20


def random_grips(count: int, seed: int = 4) -> list[str]:
    """Return grips of two to six sounding strings within a hand's reach."""
    draw, found = random.Random(seed), []
    while len(found) < count:
        low = draw.randint(1, 10)
        signs = [draw.choice(["x", "x", "0", *(str(low + n) for n in range(4))]) for _ in range(6)]
        if signs.count("x") <= 4:
            found.append("-".join(signs))
    return found


def per_second(work: Callable[[str], object], grips: list[str]) -> float:
    """Return how many grips a second a pass takes, warmed on as many others."""
    for grip in random_grips(len(grips), seed=5):
        work(grip)
    start = time.perf_counter()
    for grip in grips:
        work(grip)
    return len(grips) / (time.perf_counter() - start)


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
    """Print both tables."""
    grips = random_grips(COUNT)
    fast, slow = per_second(ours, grips), per_second(peer, grips[:PEER_COUNT])
    print(f"full answers a second: ours {fast:,.0f}, music21 {slow:,.0f}, {fast / slow:.0f} times")
    program = shutil.which("gripwright") or "gripwright"
    bare = [sys.executable, "-c", "import click, msgspec"]
    cold, base = shortest([program, "name", "x35553"], bare)
    print(f"cold start: {1000 * cold:.0f} ms, bare {1000 * base:.0f} ms, {cold / base:.2f} times")


if __name__ == "__main__":
    main()
