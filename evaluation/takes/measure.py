"""What the hearing evaluations share: packs from the command line, takes as hearing reads them."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soxr

from gripwright.hearing.bands import RATE
from gripwright.hearing.sound import Heard, judged
from takes.make import Take, make_take, packs_in
from takes.packs import Pack

USAGE = "give the folder with the unpacked npm packs, and how many takes"


def packs_given() -> tuple[dict[str, Pack], int]:
    """Return packs by name and the number of takes; training never sees the acoustic pack."""
    if len(sys.argv) < 2:
        sys.exit(USAGE)
    return packs_in(Path(sys.argv[1])), int(sys.argv[2]) if len(sys.argv) > 2 else 24


def takes(
    packs: dict[str, Pack], names: tuple[str, ...], kind: str, count: int, first: int, half: str,
    *, reorder: bool = False, parts: int = 3, metre: str | None = None,
) -> Iterator[tuple[Take, Heard]]:  # fmt: skip
    """Yield takes of one kind with the sound as hearing reads it."""
    for number in range(count):
        pack = packs[names[number % len(names)]]
        take = make_take(
            first + number, pack, kind, half, reorder=reorder, parts=parts, metre=metre
        )
        x = soxr.resample(take.samples, take.rate, RATE)
        yield take, judged(np.asarray(x, np.float32), "take")


def logistic_fit(values: np.ndarray, truth: np.ndarray, steps: int = 60) -> np.ndarray:
    """Return weights (constant first) of a logistic curve by Newton's method."""
    x = np.column_stack([np.ones(len(values)), values])
    weights = np.zeros(x.shape[1])
    for _ in range(steps):
        chance = 1 / (1 + np.exp(-x @ weights))
        slope = x.T @ (truth - chance) - 1e-2 * weights
        bend = (x * (chance * (1 - chance))[:, None]).T @ x + 1e-2 * np.eye(x.shape[1])
        weights = weights + np.linalg.solve(bend, slope)
    return weights


def skill(chance: np.ndarray, truth: np.ndarray) -> float:
    """Return the Brier skill score against the base rate (Brier, Mon. Weather Rev. 78, 1950)."""
    base = float(np.mean((truth.mean() - truth) ** 2))
    return 1 - float(np.mean((chance - truth) ** 2)) / max(base, 1e-12)


def reliability(chance: np.ndarray, truth: np.ndarray) -> str:
    """Return how often things said with a chance are so, by fifths of the chance."""
    cells = []
    for low in (0.0, 0.2, 0.4, 0.6, 0.8):
        inside = (chance >= low) & (chance < low + 0.2 + 1e-9)
        if inside.any():
            cells.append(f"{low:.1f}: {truth[inside].mean():.2f} of {inside.sum()}")
    return "; ".join(cells)
