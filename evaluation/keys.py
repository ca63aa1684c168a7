"""How much of each song's length has the annotated tonic, and of each score the analysed key.

    OMP_NUM_THREADS=1 python evaluation/keys.py --data FOLDER [--folds] [--only songs]

Tables by song with 95 % bootstrap intervals. The peer is one key for the piece by the profiles
of Krumhansl and Kessler (1982) over the lengths of the sounding pitch classes, in the same run;
``best single`` is the most that one tonic could have; ``told or not`` counts the best other
tonic of each region also where the product does not tell it, being far behind. Plainly run, the
committed table is scored, which has seen these pieces; with ``--folds`` the table is fitted
five times, each time on other songs than it is scored on (this takes minutes), and the whole
product runs on it. Of the Rock Corpus it is also told how far its two analysts agree.
Change points are matched within one chord.
"""

from __future__ import annotations

import argparse
import bisect
import itertools
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

from fit_keys import fitted
from keys_data import Piece, folds, interval, scores, songs

from gripwright.harmony import key, key_weights
from gripwright.harmony.key import Keys, find_keys
from gripwright.harmony.key_events import Idiom

# Krumhansl and Kessler 1982, as printed in Krumhansl 1990 (from memory).
PROFILES = {
    "major": (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
    "minor": (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
}
FAMILY = {"mixolydian": "major", "lydian": "major", "dorian": "minor", "phrygian": "minor"}
Shares = list[tuple[float, float]]
Found = tuple[Piece, Keys, Keys]


def profile_key(piece: Piece) -> tuple[int, str]:
    """Return the tonic and mode of best correlation with the lengths of the pitch classes."""
    mass = [0.0] * 12
    for chord, length in zip(piece.chords, piece.lengths, strict=True):
        for pc in chord.pcs if chord else ():
            mass[pc] += length
    return max(
        ((tonic, mode) for tonic in range(12) for mode in PROFILES),
        key=lambda key: _correlation(
            mass, [PROFILES[key[1]][(pc - key[0]) % 12] for pc in range(12)]
        ),
    )


def _correlation(one: Sequence[float], two: Sequence[float]) -> float:
    means = [sum(row) / len(row) for row in (one, two)]
    off = [[x - mean for x in row] for row, mean in zip((one, two), means, strict=True)]
    spread = (sum(x * x for x in off[0]) * sum(x * x for x in off[1])) ** 0.5
    return sum(a * b for a, b in zip(*off, strict=True)) / (spread or 1.0)


def share(piece: Piece, right: Callable[[int], bool]) -> tuple[float, float]:
    """Return the length where something is right, and the whole length."""
    whole = sum(piece.lengths)
    return sum(length for n, length in enumerate(piece.lengths) if right(n)), whole


def also_at(keys: Keys, index: int) -> int | None:
    """Return the tonic of the second reading at a chord."""
    found = (r.key.tonic.pc for r in keys.also if r.start <= index < r.end)
    return next(found, None)


def all_told(piece: Piece) -> Keys:
    """Return the keys with a second reading of every region, however far behind."""
    near = dict(key.NEAR)
    key.NEAR.update({"songs": float("inf"), "parts": float("inf")})
    try:
        return find_keys(piece.chords, piece.lengths)
    finally:
        key.NEAR.update(near)


def agreement(pieces: Sequence[Piece]) -> Shares:
    """Return for how much of each song that two analysts read they have the same tonic."""
    readings: dict[str, list[Piece]] = {}
    for piece in pieces:
        readings.setdefault(piece.name.rpartition("-")[0], []).append(piece)
    found = []
    for one, other in (pair for pair in readings.values() if len(pair) == 2):
        edges = [list(itertools.accumulate(p.lengths)) for p in (one, other)]
        same, last = 0.0, 0.0
        for at in sorted({min(edge, edges[0][-1]) for edge in edges[0] + edges[1]}):
            middle = (last + at) / 2
            tonics = [
                p.tonics[min(bisect.bisect(ends, middle), len(ends) - 1)]
                for p, ends in zip((one, other), edges, strict=True)
            ]
            same += (at - last) * (tonics[0] == tonics[1])
            last = at
        found.append((same, edges[0][-1]))
    return found


def change_points(tonics: Sequence[int]) -> list[int]:
    """Return where the tonic changes."""
    return [n for n in range(1, len(tonics)) if tonics[n] != tonics[n - 1]]


def matched(found: Sequence[int], wanted: Sequence[int]) -> int:
    """Return how many change points are met within one chord, each once."""
    left = list(wanted)
    for point in found:
        near = [other for other in left if abs(other - point) <= 1]
        if near:
            left.remove(near[0])
    return len(wanted) - len(left)


def tell(name: str, shares: Shares) -> None:
    """Print a row."""
    print(f"  {name:<28}{'{:5.1f} %   [{:.1f}, {:.1f}]'.format(*interval(shares))}")


def judged(piece: Piece, keys: Keys, wide: Keys) -> dict[str, Callable[[int], bool]]:
    """Return what is asked of each chord of a piece."""
    at = [keys.at(n) for n in range(len(piece.chords))]
    truth, modes = piece.tonics, piece.modes
    weight = {pc: share(piece, lambda n, pc=pc: truth[n] == pc)[0] for pc in set(truth)}  # type: ignore[misc]
    single = max(weight, key=weight.__getitem__)
    guess, mode = profile_key(piece)
    rows: dict[str, Callable[[int], bool]] = {
        "tonic": lambda n: at[n].tonic.pc == truth[n],
        "first two readings": lambda n: truth[n] in (at[n].tonic.pc, also_at(keys, n)),
        "first two, told or not": lambda n: truth[n] in (at[n].tonic.pc, also_at(wide, n)),
        "second reading told": lambda n: also_at(keys, n) is not None,
        "best single tonic": lambda n: truth[n] == single,
        "one profile (peer)": lambda n: guess == truth[n],
    }
    if modes[0] is not None:
        rows["key"] = lambda n: (
            at[n].tonic.pc == truth[n] and FAMILY.get(at[n].mode, at[n].mode) == modes[n]
        )
        rows["key, one profile (peer)"] = lambda n: (guess, mode) == (truth[n], modes[n])
    return rows


def report(
    title: str, pieces: Sequence[Piece], found: Sequence[Keys], wide: Sequence[Keys]
) -> None:
    """Print the table of a corpus."""
    print(f"{title}, {len(pieces)} pieces, share of length")
    ours: dict[str, Shares] = {}
    hits = told = true = 0
    for piece, keys, all_of_them in zip(pieces, found, wide, strict=True):
        tonics = [keys.at(n).tonic.pc for n in range(len(piece.chords))]
        for name, right in judged(piece, keys, all_of_them).items():
            ours.setdefault(name, []).append(share(piece, right))
        points = change_points(tonics), change_points(piece.tonics)
        hits += matched(*points)
        told, true = told + len(points[0]), true + len(points[1])
    for name, shares in ours.items():
        tell(name, shares)
    print(
        f"  change points: F {2 * hits / max(told + true, 1):.3f} ({told} told, {true} annotated)"
    )


def unseen(
    pieces: Sequence[Piece], idiom: Idiom, rounds: int, seed: int = 1, only: int | None = None
) -> Iterator[Piece]:
    """Yield each piece (of one fold) while the product reads a table that was fitted on others."""
    fold = folds(pieces, seed=seed)
    whole = {name: key_weights.table(name) for name in ("songs", "parts")}
    for number in sorted(set(fold)) if only is None else (only,):
        others = [piece for piece, f in zip(pieces, fold, strict=True) if f != number]
        use_table({**whole, idiom: fitted(others, idiom, rounds)})
        yield from (piece for piece, f in zip(pieces, fold, strict=True) if f == number)
    use_table(whole)


def found_unseen(
    pieces: Sequence[Piece], idiom: Idiom, rounds: int, seed: int, workers: int
) -> list[Found]:
    """Return what is found in each piece with a table fitted on others, a fold a worker."""
    parts = [(pieces, idiom, rounds, seed, number) for number in sorted(set(folds(pieces)))]
    with ProcessPoolExecutor(workers) as pool:
        return [row for rows in pool.map(_found_in_fold, parts) for row in rows]


def _found_in_fold(asked: tuple[Sequence[Piece], Idiom, int, int, int]) -> list[Found]:
    pieces, idiom, rounds, seed, number = asked
    return [found_in(piece) for piece in unseen(pieces, idiom, rounds, seed, only=number)]


def found_in(piece: Piece) -> Found:
    """Return a piece with its keys, and with a second reading everywhere."""
    return piece, find_keys(piece.chords, piece.lengths), all_told(piece)


def use_table(whole: dict[str, Any]) -> None:
    """Let the product read another table."""
    key_weights.packed.cache_clear()
    key_weights.change_rows.cache_clear()
    key_weights.table = lambda idiom: whole[idiom]  # type: ignore[assignment]


def main() -> None:
    """Measure songs and scores."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--data", type=Path, required=True)
    parser.add_argument("--folds", action="store_true")
    parser.add_argument("--rounds", type=int, default=45)
    parser.add_argument("--seed", type=int, default=1, help="how the folds are drawn")
    parser.add_argument("--workers", type=int, default=1, help="folds fitted at one time")
    parser.add_argument("--only", choices=["songs", "parts"], help="one idiom")
    asked = parser.parse_args()
    read: dict[Idiom, Callable[[], list[Piece]]] = {
        "songs": lambda: songs(asked.data), "parts": lambda: list(scores()),
    }  # fmt: skip
    for idiom in (asked.only,) if asked.only else read:
        pieces = read[idiom]()
        if asked.folds:
            found = found_unseen(pieces, idiom, asked.rounds, asked.seed, asked.workers)
        else:
            found = [found_in(piece) for piece in pieces]
        for source in sorted({piece.source for piece in pieces}):
            report(source, *zip(*(row for row in found if row[0].source == source), strict=True))
            if source == "rock":
                tell("the two analysts agree", agreement([p for p in pieces if p.source == source]))


if __name__ == "__main__":
    main()
