"""Pieces of takes in made cuts: found, edges, and place.

    python evaluation/hearing_cut.py PACKS [TAKES]

Each cut holds three pieces of one take, another level each, between babble; one cut in three is
equalised and compressed as an export does.
"""

from __future__ import annotations

import numpy as np
from takes import rooms
from takes.measure import packs_given, takes

from gripwright.hearing.bands import RATE
from gripwright.hearing.cut import find_pieces


def make_cut(x: np.ndarray, rng: np.random.Generator) -> tuple[np.ndarray, list[tuple[float, ...]]]:
    """Return a cut and its pieces as (cut start, cut end, take start) in seconds."""
    bounds = np.sort(rng.uniform(0.05, 0.95, 6)) * len(x) / RATE
    parts, pieces, at = [], [], 0.0
    for low, high in bounds.reshape(3, 2):
        if high - low < 1.5:
            high = min(low + 1.5, len(x) / RATE)
        talk = 0.2 * rooms.talk(float(rng.uniform(0.8, 3.0)), RATE, rng)
        piece = x[int(low * RATE) : int(high * RATE)] * rng.uniform(0.4, 1.2)
        parts += [talk, piece]
        at += len(talk) / RATE
        pieces.append((at, at + len(piece) / RATE, int(low * RATE) / RATE))
        at += len(piece) / RATE
    return np.concatenate(parts), pieces


def main() -> None:
    """Print the table."""
    packs, count = packs_given()
    found = edges = places = total = strange = 0
    for number, (_, heard) in enumerate(
        takes(packs, ("acoustic", "nylon"), "clean", count, 9000, "test")
    ):
        rng = np.random.default_rng(number)
        cut, pieces = make_cut(heard.samples, rng)
        if number % 3 == 2:
            cut = rooms.drive(rooms.equalised(cut, RATE, rng, 3.0), 0.05)
        have = find_pieces(heard.samples, np.asarray(cut, np.float32))
        strange += max(0, len(have) - len(pieces))
        for start, end, source in pieces:
            total += 1
            shift = source - start
            near = [
                p for p in have
                if abs(p.take_start_s - p.cut_start_s - shift) < 0.04
                and p.cut_start_s < end and p.cut_end_s > start
            ]  # fmt: skip
            if not near:
                continue
            found += 1
            best = min(near, key=lambda p: abs(p.cut_start_s - start) + abs(p.cut_end_s - end))
            edges += abs(best.cut_start_s - start) < 0.04 and abs(best.cut_end_s - end) < 0.04
            places += abs(best.take_start_s - best.cut_start_s - shift) < 0.002
    print(
        f"pieces {total}: found {found / total:.3f}, both edges within 40 ms "
        f"{edges / total:.3f}, placed within 2 ms {places / total:.3f}, strangers {strange}"
    )


if __name__ == "__main__":
    main()
