"""How many notes of scores are spelled as written, chord by chord, spelling hidden.

    python evaluation/naming_spelling.py --tables FOLDER [--scores N | --every]

Scores of music21's corpus are cut into chords (`spelling_data`) and each chord's letters are
found from the pitches of all of them and the signature in force (`harmony.letters`, the
function that spells grips of changes). A composer is scored with costs fitted on the others:
``--tables`` holds one table for each fold (``fit_letters.py --folds``). *Shipped* is the table
that the package has, which has seen these composers. *In its local key* gives each chord alone
with the local key that the whole succession has, as ``name --key`` does: its notes are those
of the best reading. Chromatic notes are those outside the signature in force. The peer is
partitura's ps13 (Meredith 2006), which hears the whole score at once and no signature; since it
may stand a diminished second off throughout, it is moved to the best of three, as its author
does. Intervals are 95 % by bootstrap over scores.
"""

from __future__ import annotations

import argparse
import json
import random
import warnings
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from naming_voicings import as_grip
from numpy.typing import NDArray
from spelling_data import STEPS, Score, fold_of, scores

from gripwright.errors import GripwrightError
from gripwright.harmony.letter_signs import Sounds
from gripwright.harmony.letter_weights import MODES, STATES, Weights, fitted, note_of, weights_of
from gripwright.harmony.letters import letters, state_odds
from gripwright.harmony.reading import readings
from gripwright.theory.scale import Key

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from partitura.musicanalysis import estimate_spelling

# How many scores of each composer are drawn (seed 2, as before the letters were fitted).
COMPOSERS = {
    "bach": 30, "mozart": 4, "haydn": 4, "beethoven": 3, "schubert": 2, "schumann_clara": 2,
    "schumann_robert": 2, "monteverdi": 3, "chopin": 2, "corelli": 3, "joplin": 2, "cpebach": 1,
    "handel": 1, "weber": 1, "verdi": 1, "beach": 1,
}  # fmt: skip
SEED, MOST_NOTES = 2, 4500  # ps13 takes quadratic time
TWIN = 12  # fifths
Right = NDArray[np.bool_]


def drawn(known: Sequence[Score], limit: int | None) -> list[Score]:
    """Return the scores of the table."""
    draw = random.Random(SEED)
    found = []
    for composer, count in COMPOSERS.items():
        mine = [s for s in known if s.composer == composer and s.notes <= MOST_NOTES]
        found += draw.sample(mine, min(count, len(mine)))
    return found[:limit]


def written(score: Score) -> NDArray[np.int64]:
    """Return the letters of all notes as places on the line of fifths."""
    return np.array([letter for chord in score.chords for _, letter in chord])


def ours(score: Score, weights: Weights) -> NDArray[np.int64]:
    """Return our letters of all notes."""
    chords = [Sounds(tuple(midi for midi, _ in chord)) for chord in score.chords]
    found = letters(chords, score.signs, weights)
    pairs = zip(found, chords, strict=True)
    return np.array([one.best(midi).fifths for one, chord in pairs for midi in chord.midi])


def alone(score: Score, weights: Weights) -> NDArray[np.int64]:
    """Return the letters of each chord named alone in its local key."""
    chords = [Sounds(tuple(midi for midi, _ in chord)) for chord in score.chords]
    found: list[int] = []
    for odds, chord in zip(state_odds(chords, score.signs, weights), chords, strict=True):
        state = STATES[max(range(len(STATES)), key=odds.__getitem__)]
        key = Key(note_of(state.tonic), MODES[state.mode])
        try:
            best = readings(*as_grip(list(chord.midi)), key=key)[0]
        except GripwrightError:
            found += [0] * len(chord.midi)
            continue
        by_midi = {tone.midi: tone.note.fifths for tone in best.tones}
        found += [by_midi[midi] for midi in chord.midi]
    return np.array(found)


def peer(score: Score) -> NDArray[np.int64]:
    """Return ps13's letters of all notes."""
    rows = [
        (start, max(length, 0.05), midi)
        for start, length, chord in zip(score.starts, score.lengths, score.chords, strict=True)
        for midi, _ in chord
    ]
    kinds = [("onset_beat", "f4"), ("duration_beat", "f4"), ("pitch", "i4")]
    spelled = estimate_spelling(np.array(rows, dtype=kinds))
    found = np.array([STEPS[str(row["step"])] + 7 * int(row["alter"]) for row in spelled])
    truth = written(score)
    return max((found + move for move in (0, TWIN, -TWIN)), key=lambda f: int((f == truth).sum()))


def interval(right: Sequence[Right], counted: Sequence[Right]) -> str:
    """Return the share of counted notes that are right, with its interval over scores."""
    sums = np.array([[(r & c).sum(), c.sum()] for r, c in zip(right, counted, strict=True)])
    picks = np.random.default_rng(0).integers(0, len(sums), (2000, len(sums)))
    shares = sums[picks].sum(1)
    low, high = np.quantile(shares[:, 0] / np.maximum(shares[:, 1], 1), (0.025, 0.975))
    return f"{sums[:, 0].sum() / sums[:, 1].sum():.2%} ({low:.2%} to {high:.2%})"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tables", type=Path, required=True, help="a table for each fold")
    parser.add_argument("--scores", type=int)
    parser.add_argument("--every", action="store_true", help="ours alone, on every score")
    asked = parser.parse_args()
    chosen = scores() if asked.every else drawn(scores(), asked.scores)
    tables = {int(p.stem): weights_of(json.loads(p.read_text())) for p in asked.tables.glob("*")}
    shipped = fitted()
    ways: dict[str, Callable[[Score], NDArray[np.int64]]] = {
        "ours, held out": lambda score: ours(score, tables[fold_of(score.composer)]),
        "ours, shipped": lambda score: ours(score, shipped),
        "in its local key": lambda score: alone(score, tables[fold_of(score.composer)]),
        "ps13": peer,
    }
    if asked.every:
        ways = {"ours, held out": ways["ours, held out"]}
    every = [np.ones(score.notes, bool) for score in chosen]
    chromatic = [np.array(score.chromatic) for score in chosen]
    print(
        f"{len(chosen)} scores, {sum(s.notes for s in chosen)} notes, "
        f"{sum(int(c.sum()) for c in chromatic)} chromatic", flush=True
    )  # fmt: skip
    for name, way in ways.items():
        right = [way(score) == written(score) for score in chosen]
        print(f"{name:18}all {interval(right, every)}  chromatic {interval(right, chromatic)}")
        for composer in sorted({score.composer for score in chosen}):
            mine = [n for n, score in enumerate(chosen) if score.composer == composer]
            wrong = sum(int((~right[n] & chromatic[n]).sum()) for n in mine)
            count = sum(int(chromatic[n].sum()) for n in mine)
            print(f"    {composer:18}{wrong:5} of {count:5} chromatic notes wrong", flush=True)


if __name__ == "__main__":
    main()
