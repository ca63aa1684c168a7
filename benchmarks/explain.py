"""How fast changes are explained: a song of 100 chords, and a batch beside music21.

    python benchmarks/explain.py

Songs are made by chance from common chords with a fixed seed. *Warm* explains the song once
more (its chords are known), *first* explains songs of other chords that the process has met
before only by kind, *with grips* follows the voices of a song of named grips. The peer names
the numerals of the same chords in one given key (`music21.roman.romanNumeralFromChord`), which
is less work.
"""

from __future__ import annotations

import random
import statistics
import time
import warnings
from collections.abc import Callable

from gripwright.harmony.changes import Change, read_changes
from gripwright.harmony.explain import explain, explain_changes
from gripwright.theory.symbol import ChordSymbol, parse_symbol

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import chord, key, roman

ROOTS = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]
QUALITIES = ["", "m", "7", "m7", "maj7", "m7(b5)", "dim7", "sus4", "6", "9"]
GRIPS = (
    "x5756x=Dm7", "3x343x=G7", "x3545x=Cmaj7", "x02020=A7", "x57565=Dm7", "x4342x=Db7",
    "x35453=Cmaj7", "x02210=Am",
)  # fmt: skip
LENGTH, RUNS = 100, 15


def song(seed: int, length: int = LENGTH) -> list[ChordSymbol]:
    """Return a song whose parts repeat: four parts of eight chords, each heard again."""
    draw = random.Random(seed)
    parts = [
        [parse_symbol(draw.choice(ROOTS) + draw.choice(QUALITIES)) for _ in range(8)]
        for _ in range(4)
    ]
    chords = [one for _ in range(length) for one in draw.choice(parts)]
    return chords[:length]


def grip_song(length: int = LENGTH) -> tuple[Change, ...]:
    """Return a song of named grips, eight chords that come again."""
    return read_changes(" ".join(GRIPS[at % len(GRIPS)] for at in range(length)))


def median_ms(work: Callable[[], object], runs: int = RUNS) -> float:
    """Return the median time of a call."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def peer(chords: list[ChordSymbol]) -> list[str]:
    """Return music21's numerals in C major."""
    home = key.Key("C")
    return [
        roman.romanNumeralFromChord(
            chord.Chord([note.name.replace("b", "-") for note in one.notes]), home
        ).figure
        for one in chords
    ]


def main() -> None:
    """Print the table."""
    explain(song(0))
    known = song(1)
    explain(known)
    others = iter([song(seed) for seed in range(2, 2 + RUNS)])
    print(f"a song of {LENGTH} chords, ms (median of {RUNS})")
    print(f"  warm            {median_ms(lambda: explain(known)):8.2f}")
    print(f"  first hearing   {median_ms(lambda: explain(next(others))):8.2f}")
    held = grip_song()
    explain_changes(held)
    print(f"  warm, with grips {median_ms(lambda: explain_changes(held)):7.2f}")
    peer(known[:10])
    print(f"  music21, numerals alone {median_ms(lambda: peer(known), 3):8.2f}")


if __name__ == "__main__":
    main()
